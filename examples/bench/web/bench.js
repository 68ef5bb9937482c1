'use strict';
// The page's own part of the bench: it hands what is typed to the library (borestack, compiled to WebAssembly) and puts its answers where they belong. It reckons nothing.

const $ = (selector) => document.querySelector(selector);
const all = (selector, inside = document) => [...inside.querySelectorAll(selector)];
const kept = 'borestack-bench', before = 'borestack-bench-before';

let turn = 0, asked = 0, busy = false, beside = null, spoken = 0;
const took = []; // milliseconds from a key to its verdict on the page

// ask calls one of the library's functions.
function ask(name, ...args) {
	const out = JSON.parse(borestack[name](...args));
	trouble(out && out.error ? out.error : '');
	return out;
}

function trouble(text) {
	if ($('#trouble').textContent !== text) $('#trouble').textContent = text;
	$('#trouble').hidden = !text;
}

// store keeps a text in the browser, where it lets us.
function store(key, text) {
	try { localStorage.setItem(key, text); } catch { /* it keeps nothing here */ }
}
function stored(key) {
	try { return localStorage.getItem(key); } catch { return null; }
}

const write = (element, text) => { if (element.textContent !== text) element.textContent = text; };
const picture = (element, svg) => { if (element && element.drawn !== svg) { element.drawn = svg; element.innerHTML = svg; } };

// show puts a look at the draft on the page: notes at their fields, pictures, the verdict.
function show(look) {
	const notes = new Map();
	for (const n of look.notes || []) notes.set(n.at, [...(notes.get(n.at) || []), n]);
	for (const p of all('#form .note')) {
		const list = notes.get(p.id.slice(1)) || [], key = JSON.stringify(list);
		if (p.said === key) continue;
		p.said = key;
		p.replaceChildren(...list.map((n) => {
			const s = document.createElement('span');
			s.className = n.kind;
			s.textContent = n.text;
			return s;
		}));
		const field = document.getElementById('f' + p.id.slice(1));
		if (field) field.setAttribute('aria-invalid', list.some((n) => n.kind === 'fault'));
	}
	picture($('#sketch'), look.sketch);
	for (const [at, svg] of Object.entries(look.dials || {})) picture(document.getElementById('d' + at), svg);
	verdict(look.verdict);
	turn++;
	if (look.verdict.pending) full(); else clear();
	store(kept, ask('draft'));
}

// verdict shows a verdict; it is spoken once the keys are still.
function verdict(v) {
	$('#verdict').className = v.word.replace(' ', '-');
	write($('#title'), v.title);
	$('#pending').hidden = !v.pending;
	$('#verdict').setAttribute('aria-busy', v.pending);
	$('#links').replaceChildren(...(v.links || []).map((n) => {
		const li = document.createElement('li'), a = document.createElement('a');
		const field = document.getElementById('f' + n.at) || document.getElementById('h' + n.at) || document.getElementById('n' + n.at);
		a.href = '#' + (field ? encodeURIComponent(field.id) : 'form');
		a.textContent = `${named(field)}: ${n.text}`;
		a.addEventListener('click', (event) => { event.preventDefault(); go(field); });
		li.append(a);
		return li;
	}));
	$('#lines').replaceChildren(...(v.lines || []).map((text) => {
		const p = document.createElement('p');
		p.textContent = text;
		return p;
	}));
	clearTimeout(spoken);
	spoken = setTimeout(() => write($('#spoken'), v.title), 700);
}

// named is a field's label, with the group that it stands in.
function named(field) {
	if (!field) return 'The record';
	const own = field.labels && field.labels[0] ? field.labels[0].textContent : '';
	const group = field.closest('[role=group]'), head = group && group.querySelector('h3, h4, h5');
	return [head ? head.textContent : '', own].filter(Boolean).join(', ') || 'The record';
}

function go(field) {
	if (!field) return;
	const fold = field.closest('details');
	if (fold) fold.open = true;
	if (!field.matches('input, select, button')) field.tabIndex = -1;
	field.focus();
}

function clear() {
	$('#pictures').replaceChildren();
	write($('#report pre'), '');
	$('#report').hidden = true;
}

// full asks for the verdict in full, beside the page; only the newest question counts.
function full() {
	if (busy || !beside) return;
	busy = true;
	asked = turn;
	beside(ask('record'));
}

// answered takes the verdict in full, if it is still that of what stands on the page.
function answered(text) {
	busy = false;
	if (asked !== turn) { if (!$('#pending').hidden) full(); return; }
	const out = JSON.parse(text);
	if (out.error) { verdict({word: 'open', title: 'No verdict: ' + out.error}); return; }
	verdict(out.verdict);
	write($('#report pre'), out.text);
	$('#report').hidden = false;
	$('#pictures').replaceChildren(...(out.svg || []).map((svg) => {
		const f = document.createElement('figure');
		f.innerHTML = svg;
		f.tabIndex = 0;
		return f;
	}));
	document.documentElement.dataset.full = turn;
}

// render writes the form anew and keeps the focus and what is unfolded.
function render(focus) {
	const open = all('#form details[open]').map((d) => d.id), id = document.activeElement && document.activeElement.id;
	$('#form').innerHTML = ask('form');
	for (const d of open) { const e = document.getElementById(d); if (e) e.open = true; }
	show(ask('look'));
	if (focus !== undefined) {
		const e = document.getElementById('f' + focus) || firstIn(document.getElementById('h' + focus));
		go(e || document.getElementById('badd/parts'));
	} else if (id && $('#form').contains(document.getElementById(id))) {
		const e = document.getElementById(id);
		e.focus();
		if (e.select) e.select();
	}
}

// firstIn is the first field of the group that a heading names.
function firstIn(heading) {
	const group = heading && heading.closest('[role=group]');
	return group && (group.querySelector('input, select') || group.querySelector('button'));
}

function load(name, text) {
	const old = stored(kept), out = ask(name, text);
	if (out.error) return false;
	if (old) store(before, old);
	$('#undo').hidden = !old;
	render();
	return true;
}

// take opens a file: a table of readings fills the record, anything else is a record.
async function take(file) {
	const text = await file.text();
	if (text.trimStart().startsWith('{')) {
		if (load('open', text)) write($('#told'), `${file.name} is open.`);
		return;
	}
	const old = stored(kept), out = ask('fill', text);
	if (out && out.error) { write($('#told'), `${file.name} was not taken.`); return; }
	store(before, old);
	$('#undo').hidden = false;
	render();
	write($('#told'), [`${file.name} has filled the record.`, ...(out || [])].join(' '));
}

function save() {
	const a = document.createElement('a');
	a.href = URL.createObjectURL(new Blob([ask('record')], {type: 'application/json'}));
	a.download = 'record.json';
	a.click();
	setTimeout(() => URL.revokeObjectURL(a.href), 1000);
	write($('#told'), 'The record is saved as record.json.');
}

function act(verb, at, arg) {
	const up = at.slice(0, at.lastIndexOf('/'));
	const focus = ask('act', verb, at, arg);
	if (focus.error) return;
	render(verb === 'remove' ? up : verb === 'way' || verb === 'stations' ? undefined : focus);
}

function listen() {
	const form = $('#form');
	form.addEventListener('input', (event) => {
		const at = event.target.dataset.at;
		if (!at) return;
		const look = ask('set', at, event.target.value);
		if (!look.error) show(look);
		took.push(performance.now() - event.timeStamp);
	});
	form.addEventListener('change', (event) => {
		const {way, stations} = event.target.dataset;
		if (way) act('way', way, event.target.value);
		else if (stations) act('stations', stations, event.target.value);
		else setTimeout(() => { if (ask('reshaped')) render(); });
	});
	form.addEventListener('click', (event) => {
		const b = event.target.closest('[data-do]');
		if (b) act(b.dataset.do, b.dataset.at, b.dataset.arg);
	});
	form.addEventListener('submit', (event) => event.preventDefault());
	form.addEventListener('keydown', (event) => {
		if (event.key !== 'Enter' || !event.target.matches('input')) return;
		event.preventDefault();
		const list = all('input, select', form).filter((e) => e.getClientRects().length);
		const next = list[list.indexOf(event.target) + 1];
		if (next) { next.focus(); if (next.select) next.select(); }
	});
	form.addEventListener('focusin', (event) => { if (event.target.matches('input')) event.target.select(); });
	$('#begin').addEventListener('click', () => { if (load('start', $('#start').value)) write($('#told'), 'A fresh record; every number of a skeleton is invented: put yours in their place.'); });
	$('#undo').addEventListener('click', () => { const old = stored(before); if (old && load('open', old)) write($('#told'), 'The record from before is back.'); });
	$('#open').addEventListener('click', () => $('#file').click());
	$('#file').addEventListener('change', async () => { for (const f of $('#file').files) await take(f); $('#file').value = ''; });
	$('#save').addEventListener('click', save);
	$('#print').addEventListener('click', () => print());
	addEventListener('dragover', (event) => event.preventDefault());
	addEventListener('drop', async (event) => {
		event.preventDefault();
		for (const f of event.dataTransfer.files) await take(f);
	});
}

// aside is what runs beside the page: the same library, asked for verdicts in full.
function aside() {
	self.onmessage = ({data}) => {
		if (data.module) {
			const go = new Go();
			self.benchReady = () => postMessage('');
			WebAssembly.instantiate(data.module, go.importObject).then((instance) => go.run(instance));
			return;
		}
		postMessage(self.borestack.full(data.record));
	};
}

// start asks a second thread for verdicts in full; where there is none, the page itself when it is at leisure.
function besidePage(module) {
	try {
		const url = URL.createObjectURL(new Blob([programSupport, `;(${aside})()`], {type: 'text/javascript'}));
		const worker = new Worker(url);
		worker.onmessage = ({data}) => {
			if (data) { answered(data); return; }
			beside = (record) => worker.postMessage({record});
			if (!$('#pending').hidden) full();
		};
		worker.onerror = onPage;
		worker.postMessage({module});
	} catch {
		onPage();
	}
}
function onPage() {
	busy = false;
	beside = (record) => setTimeout(() => answered(borestack.full(record)), 300);
	if (!$('#pending').hidden) full();
}

// benchReady is called by the library when it is there to be asked.
function benchReady() {
	$('#start').replaceChildren(...ask('starts').map((s) => new Option(s.Title, s.Name)));
	const old = stored(kept);
	if (!old || ask('open', old).error) ask('start', 'empty');
	$('#undo').hidden = !stored(before);
	render();
	listen();
	$('main').removeAttribute('aria-busy');
	document.documentElement.dataset.ready = Math.round(performance.now());
}

// The library is carried in a script, compressed and in base64, so that the page opens from disk, where nothing can be fetched.
async function begin() {
	const module = await programModule();
	const go = new Go();
	const instance = await WebAssembly.instantiate(module, go.importObject);
	go.run(instance).then(() => trouble('The library has stopped. Load the page again.'));
	besidePage(module);
}
begin().catch((err) => trouble(`The library could not be started: ${err.message || err}`));
