// unpack undoes gzip.
async function unpack(code) {
	return new Uint8Array(await new Response(new Blob([code]).stream().pipeThrough(new DecompressionStream('gzip'))).arrayBuffer());
}
