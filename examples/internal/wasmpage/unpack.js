// unpack is the other half of pack.go, where every name is explained.
function unpack(code) {
	const data = new Uint8Array(code[0] | code[1] << 8 | code[2] << 16 | code[3] << 24), last = [1, 1, 1, 1];
	const chances = (n) => new Uint16Array(2 * n).fill(1 << 15);
	const match = chances(8), again = chances(8), which = chances(4), literal = chances(256 << 8), beside = chances(8 * 3 << 8);
	const length = [chances(16), chances(16)], extra = [chances(16 << 3), chances(16 << 3)], distance = chances(4 << 6), fine = chances(64 << 4);
	let from = 5, width = 0x7fffffff, value = 0, kinds = 0;
	for (let i = 0; i < 4; i++) value = value << 8 | (code[from - 1] & 1) << 7 | code[from++] >> 1;
	const fit = () => { while (width < 1 << 23) { width <<= 8; value = value << 8 | (code[from - 1] & 1) << 7 | code[from++] >> 1; } };
	const bit = (p, i) => {
		i *= 2;
		const bound = (width >> 12) * (p[i] + p[i + 1] >> 5 & 4095 | 1);
		let one = 0;
		if (value < bound) {
			width = bound;
			p[i] += 65535 - p[i] >> 4;
			p[i + 1] += 65535 - p[i + 1] >> 7;
		} else {
			one = 1;
			value -= bound;
			width -= bound;
			p[i] -= p[i] >> 4;
			p[i + 1] -= p[i + 1] >> 7;
		}
		if (width < 1 << 23) fit();
		return one;
	};
	const even = (count) => {
		let n = 0;
		while (count-- > 0) {
			width >>= 1;
			const one = value >= width ? 1 : 0;
			if (one) value -= width;
			n = n << 1 | one;
			fit();
		}
		return n;
	};
	const tree = (p, base, count) => {
		let node = 1;
		for (let i = 0; i < count; i++) node = node << 1 | bit(p, base + node);
		return node - (1 << count);
	};
	for (let at = 0; at < data.length;) {
		if (!bit(match, kinds)) {
			const ahead = at > 0 ? data[at - 1] : 0;
			if (kinds & 1) {
				const like = data[at - last[0]];
				let node = 1, parted = false;
				for (let i = 7; i >= 0; i--) {
					const one = bit(beside, ((ahead >> 5) * 3 + (parted ? 0 : 1 + (like >> i & 1)) << 8) | node);
					parted = parted || one !== (like >> i & 1);
					node = node << 1 | one;
				}
				data[at++] = node;
			} else {
				data[at++] = tree(literal, ahead << 8, 8);
			}
			kinds = kinds << 1 & 7;
			continue;
		}
		const kind = bit(again, kinds);
		let d = kind ? last.splice(tree(which, 0, 2), 1)[0] : 0;
		const size = tree(length[kind], 0, 4), learnt = Math.min(size, 3);
		const high = tree(extra[kind], size << 3, learnt);
		let n = (1 << learnt | high) << size - learnt | even(size - learnt);
		if (!kind) {
			const slot = tree(distance, Math.min(size, 3) << 6, 6), bits = slot >> 1, rest = Math.max(bits - 1, 0), low = Math.min(rest, 4);
			d = bits ? (2 | slot & 1) << rest : 1;
			d |= even(rest - low) << low;
			d |= tree(fine, slot << 4, low);
			last.pop();
		}
		last.unshift(d);
		for (n += 1; n > 0; n--, at++) data[at] = data[at - d];
		kinds = kinds << 1 & 7 | 1;
	}
	return data;
}
