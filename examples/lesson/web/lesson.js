'use strict';
// The page's own part of the lesson: it reads controls, asks the library (borestack, compiled to WebAssembly) and puts its answers where they belong. It reckons nothing.

const $ = (selector) => document.querySelector(selector);
const all = (selector) => [...document.querySelectorAll(selector)];
const dialReach = 100; // units of the dial for a handle at its most
const live = 96, settled = 2048; // boxes in the batch while something moves, and at rest

let knobs, steps, at = 0, unit = 'mm', parts = 2, frame = 0, rest = 0, dragging = '';
const seen = new Set(); // pictures on the screen

// ask calls one of the library's functions, and shows its error if it has one.
function ask(name, ...args) {
	const out = borestack[name](...args);
	trouble(out && out.error ? out.error : '');
	return out;
}

function trouble(text) {
	$('#trouble').textContent = text;
	$('#trouble').hidden = !text;
}

const inUnit = (mm) => unit === 'in' ? (mm / 25.4).toFixed(4) + ' in' : mm.toFixed(3) + ' mm';
const wrap = (degrees) => ((degrees % 360) + 360) % 360;
const clock = (degrees) => {
	const halves = Math.round(wrap(degrees) / 15) % 24;
	return `${Math.floor(halves / 2) || 12}:${halves % 2 ? '30' : '00'}`;
};
const says = {
	wedge: inUnit, offset: inUnit, bow: inUnit, pilot: inUnit, wedgeClock: clock, offsetClock: clock,
	turn: (d) => `${Math.round(d)}°`,
	case: (c) => unit === 'in' ? `${Math.round(c * 1.8 + 32)} °F` : `${Math.round(c)} °C`,
};

// controls shows the knobs on sliders, choices and dial.
function controls() {
	for (const input of all('[data-knob]')) {
		const name = input.dataset.knob, text = says[name](knobs[name]);
		input.value = knobs[name];
		input.setAttribute('aria-valuetext', text);
		input.previousElementSibling.textContent = text;
	}
	for (const input of all('[name=dowels]')) input.checked = Number(input.value) === knobs.dowels;
	$('#measured').checked = knobs.measured;
	for (const b of all('#plates button')) b.setAttribute('aria-pressed', b.plate(knobs));
	const put = (name, size, degrees) => {
		const a = degrees * Math.PI / 180, x = size * Math.sin(a), y = -size * Math.cos(a);
		$(`[data-handle=${name}]`).setAttribute('transform', `translate(${x} ${y})`);
		const line = $(`#d-${name}-line`);
		if (line) { line.setAttribute('x2', x); line.setAttribute('y2', y); }
	};
	put('wedge', knobs.wedge / 0.2 * dialReach, knobs.wedgeClock + knobs.turn);
	put('offset', knobs.offset / 0.1 * dialReach, knobs.offsetClock + knobs.turn);
	put('turn', 118, knobs.turn);
	$('#d-plate').setAttribute('transform', `rotate(${knobs.turn})`);
}

// change takes new knobs and draws before the next frame; when nothing has moved for a while, the batch is drawn in full and the verdict is spoken.
function change(some) {
	Object.assign(knobs, some);
	if (!frame) frame = requestAnimationFrame(() => { frame = 0; draw(live); });
	clearTimeout(rest);
	rest = setTimeout(() => { draw(settled); speak(); }, 300);
}

function draw(samples) {
	controls();
	const v = ask('see', knobs, unit, seen.has('line'), seen.has('seat'));
	if (v.error) return;
	$('#verdict').className = 'rank' + v.rank;
	$('#verdict strong').textContent = v.verdict;
	$('#verdict span').textContent = v.sentence;
	const rows = $('#rows');
	if (rows.childElementCount !== v.rows.length) rows.innerHTML = v.rows.map((_, i) => i % 2 ? '<dd></dd>' : '<dt></dt>').join('');
	v.rows.forEach((text, i) => { rows.children[i].textContent = text; });
	$('[data-picture=sketch]').innerHTML = v.sketch;
	if (v.line) $('[data-picture=line]').innerHTML = v.line;
	if (v.seat) $('[data-picture=seat]').innerHTML = v.seat;
	if (seen.has('batch')) {
		const b = ask('batch', knobs, unit, samples);
		if (!b.error) {
			$('[data-picture=batch]').innerHTML = b.svg;
			$('#good').textContent = `${Math.round(b.good * 100)} % have room`;
		}
	}
	reached();
	$('main').dataset.drawn++;
}

function speak() { $('#spoken').textContent = $('#verdict strong').textContent + '. ' + $('#verdict span').textContent; }

function reached() {
	const text = ask('done', at, parts) ? '✓ Done. On to the next step.' : '';
	if ($('#reached').textContent !== text) $('#reached').textContent = text;
}

function sum() {
	const s = ask('sum', parts, unit);
	if (s.error) return;
	$('[data-picture=sum]').innerHTML = s.svg;
	$('#sum-words').textContent = s.sentence;
	reached();
}

// lesson writes the steps in the present unit.
function lesson() {
	steps = ask('steps', unit);
	$('#all-steps').replaceChildren(...steps.map((s, i) => {
		const li = document.createElement('li');
		const add = (tag, text, name) => { const e = document.createElement(tag); e.textContent = text; if (name) e.className = name; li.append(e); };
		add('h3', `${i + 1}. ${s.title}`);
		for (const p of s.says) add('p', p);
		add('p', s.goal, 'goal');
		return li;
	}));
	$('#step').replaceChildren(...steps.map((s, i) => new Option(`${i + 1}. ${s.title}`, i)));
}

function go(to) {
	at = Math.min(Math.max(to, 0), steps.length - 1);
	all('#all-steps > li').forEach((li, i) => li.classList.toggle('current', i === at));
	$('#step').value = at;
	$('#back').disabled = at === 0;
	$('#next').disabled = at === steps.length - 1;
	change(steps[at].set);
	if (steps[at].sum) $('#sum-figure').scrollIntoView({block: 'nearest'});
}

// tasks writes the exercises for seed and unit.
function tasks() {
	const seed = Math.min(Math.max(Math.trunc(Number($('#seed').value)) || 1, 1), 999999);
	$('#seed').value = seed;
	$('#seed-print').textContent = seed;
	const list = [];
	for (let i = 0, n = 1; i < n; i++) {
		const e = ask('exercise', i, seed, unit);
		n = e.count;
		const li = document.createElement('li');
		li.innerHTML = `<form novalidate><h3></h3><p id="q${i}"></p><div class="bar"><label>Answer in ${e.unit} <input type="text" inputmode="decimal" autocomplete="off" aria-describedby="q${i} a${i}"></label><button>Check</button><button type="button">Show the working</button></div><p id="a${i}" class="told" role="status"></p></form>`;
		li.querySelector('h3').textContent = e.title;
		li.querySelector('p').textContent = e.question;
		const told = li.querySelector('.told'), [check, working] = li.querySelectorAll('button');
		check.setAttribute('aria-label', `Check ${e.title}`);
		working.setAttribute('aria-label', `Show the working of ${e.title}`);
		li.querySelector('form').addEventListener('submit', (event) => {
			event.preventDefault();
			const m = ask('mark', i, seed, unit, li.querySelector('input').value);
			told.classList.toggle('right', m.right === true);
			told.textContent = m.feedback;
		});
		working.addEventListener('click', () => { told.classList.remove('right'); told.textContent = e.working; });
		list.push(li);
	}
	$('#tasks').replaceChildren(...list);
}

// drag moves one handle of the dial to where the pointer is.
function drag(event) {
	const p = new DOMPoint(event.clientX, event.clientY).matrixTransform($('#dial').getScreenCTM().inverse());
	const degrees = wrap(Math.atan2(p.x, -p.y) * 180 / Math.PI);
	const size = Math.min(Math.hypot(p.x, p.y) / dialReach, 1);
	if (dragging === 'turn') change({turn: Math.round(degrees)});
	if (dragging === 'wedge') change({wedge: Math.round(size * 200) / 1000, wedgeClock: size ? wrap(degrees - knobs.turn) : knobs.wedgeClock});
	if (dragging === 'offset') change({offset: Math.round(size * 100) / 1000, offsetClock: size ? wrap(degrees - knobs.turn) : knobs.offsetClock});
}

function listen() {
	const dial = $('#dial');
	dial.addEventListener('pointerdown', (event) => {
		const handle = event.target.closest('[data-handle]');
		if (!handle || !event.isPrimary) return;
		dragging = handle.dataset.handle;
		dial.setPointerCapture(event.pointerId);
		dial.classList.add('dragging');
		event.preventDefault();
	});
	dial.addEventListener('pointermove', (event) => { if (dragging) drag(event); });
	for (const end of ['pointerup', 'pointercancel']) dial.addEventListener(end, () => { dragging = ''; dial.classList.remove('dragging'); });
	for (const input of all('[data-knob]')) input.addEventListener('input', () => change({[input.dataset.knob]: Number(input.value)}));
	for (const input of all('[name=dowels]')) input.addEventListener('change', () => change({dowels: Number(input.value)}));
	for (const input of all('[name=parts]')) input.addEventListener('change', () => { parts = Number(input.value); sum(); });
	for (const input of all('[name=unit]')) input.addEventListener('change', () => {
		unit = input.value;
		const keep = {...knobs};
		lesson(); go(at); tasks(); sum();
		change(keep);
	});
	$('#measured').addEventListener('change', (event) => change({measured: event.target.checked}));
	$('#step').addEventListener('change', (event) => go(Number(event.target.value)));
	$('#back').addEventListener('click', () => go(at - 1));
	$('#next').addEventListener('click', () => go(at + 1));
	$('#reset').addEventListener('click', () => go(at));
	$('#seed').addEventListener('change', tasks);
	$('#more').addEventListener('click', () => { $('#seed').value = Number($('#seed').value) % 999999 + 1; tasks(); });
	const watch = new IntersectionObserver((entries) => {
		for (const e of entries) e.isIntersecting ? seen.add(e.target.dataset.picture) : seen.delete(e.target.dataset.picture);
		if (entries.some((e) => e.isIntersecting)) change({});
	}, {rootMargin: '100px'});
	for (const picture of all('[data-picture]')) watch.observe(picture);
	addEventListener('beforeprint', () => {
		for (const picture of all('[data-picture]')) seen.add(picture.dataset.picture);
		draw(settled);
	});
}

// shelf makes a button of every plate; it is pressed when that plate is in the box as it came.
function shelf() {
	const plate = (i, k) => ask('plates', k)[i].set;
	$('#plates').replaceChildren(...ask('plates', knobs).map((p, i) => {
		const b = document.createElement('button');
		b.type = 'button';
		b.textContent = p.name.replace('Plate ', '');
		b.setAttribute('aria-label', `${p.name}: ${p.says}`);
		b.title = p.says;
		b.plate = (k) => ['wedge', 'wedgeClock', 'offset', 'offsetClock', 'pilot', 'bow'].every((n) => k[n] === p.set[n]);
		b.addEventListener('click', () => change(plate(i, knobs)));
		return b;
	}));
	$('#plates').className = 'bar';
}

// lessonReady is called by the library when it is there to be asked.
function lessonReady() {
	steps = ask('steps', unit);
	knobs = {...steps[0].set};
	shelf(); lesson(); listen(); go(0); tasks(); sum();
	$('main').removeAttribute('aria-busy');
	document.documentElement.dataset.ready = Math.round(performance.now());
}

// The library is carried in a script, gzipped and in base64, so that the page opens from disk, where nothing can be fetched.
async function start() {
	const bytes = Uint8Array.from(atob(lessonWasm), (c) => c.charCodeAt(0));
	const unzipped = new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip')), {headers: {'Content-Type': 'application/wasm'}});
	const go = new Go();
	const {instance} = await WebAssembly.instantiateStreaming(unzipped, go.importObject);
	go.run(instance).then(() => trouble('The library has stopped. Load the page again.'));
}
start().catch((err) => trouble(`The library could not be started: ${err.message || err}`));
