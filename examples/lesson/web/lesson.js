'use strict';
// The page's own part of the lesson: it reads controls, asks the library (borestack, compiled to WebAssembly) and puts its answers where they belong. It reckons nothing.

const $ = (selector) => document.querySelector(selector);
const all = (selector) => [...document.querySelectorAll(selector)];
const dialZero = {wedge: 56, offset: 0, turn: 116}, dialReach = 42; // where the dial's handles stand at nothing, and how far they go from there
const live = 64, settled = 2048; // boxes in the batch while something moves, and at rest

const begin = {ways: {off: 0}, count: {doublings: 2}, lot: {alike: 0}, maker: {wedge: 0, clock: 60, turn: true}}; // what the pictures of many boxes begin with

let knobs, steps, at = 0, unit = 'mm', parts = 2, frame = 0, frames = 0, rest = 0, dragging = '';
const seen = new Set(); // pictures on the screen
const many = structuredClone(begin), moved = new Set(); // what the pictures of many boxes show, and which have yet to be drawn
let manyFrame = 0, manyRest = 0, reachOfFixture = 0, pulling = false;

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

// write puts text where it is not already: what does not change need not be laid out again.
function write(element, text) {
	if (element.textContent === text) return false;
	element.textContent = text;
	return true;
}

// place is where a handle of the dial stands.
function place(name) {
	const share = {wedge: knobs.wedge / 0.2, offset: knobs.offset / 0.1, turn: 0}[name];
	const a = (knobs.turn + (knobs[name + 'Clock'] || 0)) * Math.PI / 180, r = dialZero[name] + share * dialReach;
	return {x: r * Math.sin(a), y: -r * Math.cos(a)};
}

// controls shows the knobs on sliders, choices and dial.
function controls() {
	for (const input of all('[data-knob]')) {
		const name = input.dataset.knob, text = says[name](knobs[name]);
		if (Number(input.value) !== knobs[name]) input.value = knobs[name];
		if (write(input.previousElementSibling, text)) input.setAttribute('aria-valuetext', text);
	}
	for (const input of all('[name=dowels]')) input.checked = Number(input.value) === knobs.dowels;
	$('#measured').checked = knobs.measured;
	for (const b of all('#plates button')) b.setAttribute('aria-pressed', b.plate(knobs));
	for (const handle of all('[data-handle]')) {
		const p = place(handle.dataset.handle);
		handle.setAttribute('transform', `translate(${p.x} ${p.y})`);
		const line = $(`#d-${handle.dataset.handle}-line`);
		if (line) { line.setAttribute('x2', p.x); line.setAttribute('y2', p.y); }
	}
	$('#d-plate').setAttribute('transform', `rotate(${knobs.turn})`);
}

// show puts a picture in its place. Its style sheet, always the same, is kept once in the head: reading it anew at every frame would restyle the whole page.
const styled = new Set();
function show(name, svg) {
	const own = svg.match(/<style>[^]*?<\/style>/);
	if (own && !styled.has(name)) document.head.insertAdjacentHTML('beforeend', own[0]);
	if (own) styled.add(name);
	const place = $(`[data-picture=${name}]`), first = !place.firstChild;
	place.innerHTML = own ? svg.replace(own[0], '') : svg;
	if (first && name === 'batch') place.scrollLeft = place.scrollWidth; // the limit is on the right
}

// change takes new knobs and draws before the next frame; when nothing has moved for a while, the batch is drawn in full and the verdict is spoken.
function change(some) {
	Object.assign(knobs, some);
	if (!frame) frame = requestAnimationFrame(() => { frame = 0; draw(live); });
	clearTimeout(rest);
	rest = setTimeout(() => { draw(settled); speak(); }, 300);
}

// draw asks for the box and shows it. While something moves, the pictures on the screen below the sketch take turns, so that all keep up; at rest all are drawn, seen or not.
function draw(samples) {
	controls();
	const below = ['line', 'seat', 'batch'].filter((name) => seen.has(name));
	const turn = below[++frames % below.length];
	const due = (name) => samples === live ? name === turn : true;
	const v = ask('see', knobs, unit, due('line'), due('seat'), samples === live);
	if (v.error) return;
	$('#verdict').className = v.rank;
	write($('#verdict strong'), v.verdict);
	write($('#verdict span'), v.sentence);
	const rows = $('#rows');
	if (rows.childElementCount !== v.rows.length) rows.innerHTML = v.rows.map((_, i) => i % 2 ? '<dd></dd>' : '<dt></dt>').join('');
	v.rows.forEach((text, i) => write(rows.children[i], text));
	for (const name of ['sketch', 'line', 'seat']) if (v[name]) show(name, v[name]);
	if (due('batch')) {
		const b = ask('batch', knobs, unit, samples);
		if (!b.error) {
			show('batch', b.svg);
			$('#good').textContent = `${Math.round(b.good * 100)} % have room`;
		}
	}
	reached();
	$('main').dataset.drawn = frames;
}

function speak() { $('#spoken').textContent = $('#verdict strong').textContent + '. ' + $('#verdict span').textContent; }

function reached() {
	const text = !ask('done', at, parts) ? '' : at < steps.length - 1 ? '✓ Done. On to the next step.' : '✓ Done. That was the last step; the exercises are below.';
	write($('#reached'), text);
}

function sum() {
	const s = ask('sum', parts, unit);
	if (s.error) return;
	show('sum', s.svg);
	$('#sum-words').textContent = s.sentence;
	reached();
}

// move takes what a picture of many boxes is to show, and draws it before the next frame; once nothing has moved for a while, the batch is asked what it says and the words are spoken.
function move(name, some) {
	Object.assign(many[name], some);
	moved.add(name);
	if (!manyFrame) manyFrame = requestAnimationFrame(() => { manyFrame = 0; drawMany(true); });
	clearTimeout(manyRest);
	manyRest = setTimeout(() => drawMany(false), 300);
}

const saysMany = {
	off: inUnit, wedge: inUnit, clock, alike: (v) => v.toFixed(2).replace('-', '−'),
	doublings: (v) => Math.round(100 * 2 ** v).toLocaleString('en'),
};

// drawMany draws what has moved. What a batch says takes longer than a frame, so it is asked once the hand rests.
function drawMany(moving) {
	for (const input of all('[data-many]')) {
		const value = many[input.dataset.many][input.dataset.name], text = saysMany[input.dataset.name](value);
		if (Number(input.value) !== value) input.value = value;
		if (write(input.previousElementSibling, text)) input.setAttribute('aria-valuetext', text);
	}
	for (const input of all('[name=lay]')) input.checked = (input.value === 'turn') === many.maker.turn;
	const told = [];
	for (const name of moved) {
		const m = ask(name, many[name], unit, moving);
		if (m.error) continue;
		show(name, m.svg);
		const words = $(`#${name}-words`);
		const pending = moving && name === 'maker';
		if (!pending) write(words, m.words);
		words.classList.toggle('pending', pending);
		if (m.table) table($(`#${name}-table`), m.table);
		if (m.sheet) write($('#maker-sheet'), m.sheet);
		if (m.reach) reachOfFixture = m.reach;
		told.push(m.words);
	}
	if (!moving) {
		moved.clear();
		if (told.length === 1) $('#many-spoken').textContent = told[0];
	}
	reached();
	$('main').dataset.drawn = ++frames;
}

// table writes cells, four a row, the first row as the head.
function table(element, cells) {
	if (element.rows.length * 4 !== cells.length) {
		element.replaceChildren();
		for (let i = 0; i < cells.length; i++) {
			if (i % 4 === 0) element.insertRow();
			const head = i < 4 || i % 4 === 0, cell = document.createElement(head ? 'th' : 'td');
			if (head) cell.scope = i < 4 ? 'col' : 'row';
			element.rows[element.rows.length - 1].append(cell);
		}
	}
	cells.forEach((text, i) => write(element.rows[Math.floor(i / 4)].cells[i % 4], text));
}

// pull moves the fixture's wedge to where the pointer is on its clock.
function pull(event) {
	const svg = $('[data-picture=maker] svg'), p = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
	const x = p.x - 120, y = p.y - 120, share = Math.min(Math.hypot(x, y) / reachOfFixture, 1);
	move('maker', {wedge: Math.round(share * 200) / 4000, clock: share ? Math.round(wrap(Math.atan2(x, -y) * 180 / Math.PI)) : many.maker.clock});
}

function listenMany() {
	for (const input of all('[data-many]')) input.addEventListener('input', () => move(input.dataset.many, {[input.dataset.name]: Number(input.value)}));
	for (const input of all('[name=lay]')) input.addEventListener('change', () => move('maker', {turn: input.value === 'turn'}));
	const panels = $('[data-picture=maker]'), held = (event) => event.target.closest('.ch-handle');
	panels.addEventListener('touchstart', (event) => { if (held(event)) event.preventDefault(); }, {passive: false});
	panels.addEventListener('pointerdown', (event) => {
		if (!event.isPrimary || !held(event)) return;
		pulling = true;
		panels.setPointerCapture(event.pointerId);
		event.preventDefault();
	});
	panels.addEventListener('pointermove', (event) => { if (pulling) pull(event); });
	for (const end of ['pointerup', 'pointercancel']) panels.addEventListener(end, () => { pulling = false; });
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
		if (s.about) {
			add('a', s.about === 'sum' ? 'Go to the parts added up' : 'Go to the picture of this step', 'jump');
			li.lastChild.href = `#${s.about}-figure`;
		}
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
	const about = steps[at].about;
	if (begin[about]) move(about, begin[about]);
	change(steps[at].set);
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
		li.innerHTML = `<form novalidate><h3></h3><p id="q${i}"></p><div class="bar"><label>Answer, ${unit === 'in' ? 'inches' : 'millimetres'} <input type="text" inputmode="decimal" autocomplete="off" aria-describedby="q${i} a${i}"></label><button>Check</button><button type="button">Show the working</button></div><p id="a${i}" class="told" role="status"></p></form>`;
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

// onDial is where a pointer is on the dial.
const onDial = (event) => new DOMPoint(event.clientX, event.clientY).matrixTransform($('#dial').getScreenCTM().inverse());

// drag moves the handle that is held to where the pointer is.
function drag(event) {
	const p = onDial(event);
	const degrees = wrap(Math.atan2(p.x, -p.y) * 180 / Math.PI);
	const share = Math.min(Math.max((Math.hypot(p.x, p.y) - dialZero[dragging]) / dialReach, 0), 1);
	const onPlate = Math.round(wrap(degrees - knobs.turn));
	if (dragging === 'turn') change({turn: Math.round(degrees)});
	if (dragging === 'wedge') change({wedge: Math.round(share * 200) / 1000, wedgeClock: onPlate});
	if (dragging === 'offset') change({offset: Math.round(share * 100) / 1000, offsetClock: share ? onPlate : knobs.offsetClock});
}

function listen() {
	const dial = $('#dial');
	// a finger on a handle drags it, anywhere else on the dial it scrolls the page
	dial.addEventListener('touchstart', (event) => { if (event.target.closest('[data-handle]')) event.preventDefault(); }, {passive: false});
	dial.addEventListener('pointerdown', (event) => {
		if (!event.isPrimary || !event.target.closest('[data-handle]')) return;
		const p = onDial(event), far = (name) => { const h = place(name); return Math.hypot(h.x - p.x, h.y - p.y); };
		dragging = Object.keys(dialZero).reduce((a, b) => far(b) < far(a) ? b : a);
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
		const shown = structuredClone(many);
		lesson(); go(at); tasks(); sum();
		for (const name in many) move(name, shown[name]);
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
	}, {rootMargin: '100px'});
	for (const picture of all('[data-picture]')) watch.observe(picture);
	addEventListener('beforeprint', () => { draw(settled); drawMany(false); });
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
	const narrow = matchMedia('(max-width: 30rem)');
	ask('screen', narrow.matches);
	narrow.addEventListener('change', () => { ask('screen', narrow.matches); change({}); sum(); });
	shelf(); lesson(); listen(); listenMany(); go(0); tasks(); sum();
	for (const name in many) move(name, {});
	$('main').removeAttribute('aria-busy');
	document.documentElement.dataset.ready = Math.round(performance.now());
}

// The library is carried in a script, gzipped and in base64, so that the page opens from disk, where nothing can be fetched.
async function start() {
	const go = new Go();
	const instance = await WebAssembly.instantiate(await programModule(), go.importObject);
	go.run(instance).then(() => trouble('The library has stopped. Load the page again.'));
}
start().catch((err) => trouble(`The library could not be started: ${err.message || err}`));
