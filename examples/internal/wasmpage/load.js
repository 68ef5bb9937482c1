// programModule is the program that this script carries, compiled.
async function programModule() {
	return WebAssembly.compile(await unpack(Uint8Array.from(atob(programWasm), (c) => c.charCodeAt(0))));
}
