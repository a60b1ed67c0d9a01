// What stands between the page and the server: a proxy that loses, cuts, delays and forges as a test tells it to.
import { createServer, request as ask } from 'node:http';

/**
 * A proxy before a server, on a free port of this machine. `meddle(request)` is asked about each request, with its `method`,
 * `path` and `body`. What it returns:
 *   nothing                          the request goes on, and so does the answer
 *   'cut'                            the connection is cut before the server hears of it
 *   'cut answer'                     the server hears of it, and half of its answer comes back
 *   { status, headers, body, stays } that is answered, and the server hears nothing; `stays`: the answer does not end
 *   (body, status) => body or such   the server's answer is changed on its way
 * What streams (api/live) is passed on as it comes; `line => line` may change it line by line.
 */
export async function between(address, meddle = () => undefined) {
  const target = new URL(address);
  const box = { meddle };
  const open = new Set();

  async function pass(from, to) {
    const pieces = [];
    for await (const piece of from) pieces.push(piece);
    const sent = Buffer.concat(pieces);
    const path = from.url;
    const does = await box.meddle({ method: from.method, path, body: sent });
    if (does === 'cut') return to.destroy();
    if (does !== null && typeof does === 'object') {
      to.writeHead(does.status ?? 200, { 'Content-Type': 'application/json', ...does.headers });
      const body = typeof does.body === 'string' ? does.body : JSON.stringify(does.body ?? '');
      return does.stays ? to.write(body) : to.end(body);
    }
    const headers = { ...from.headers, host: target.host };
    if (headers.origin) headers.origin = target.origin;
    if (headers.referer) headers.referer = target.origin;
    if (typeof does === 'function' || does === 'cut answer') delete headers['accept-encoding'];
    const onward = ask({ host: target.hostname, port: target.port, method: from.method, path, headers }, (answer) => void back(answer, to, does, path));
    onward.on('error', () => to.destroy());
    to.on('close', () => onward.destroy());
    onward.end(sent);
  }

  async function back(answer, to, does, path) {
    if (does === undefined || path.startsWith('/api/live')) {
      to.writeHead(answer.statusCode, answer.headers);
      to.flushHeaders();
      answer.on('error', () => to.destroy());
      answer.on('data', (piece) => to.write(does === undefined ? piece : String(piece).split('\n').map(does).join('\n')));
      answer.on('end', () => to.end());
      return;
    }
    const pieces = [];
    for await (const piece of answer) pieces.push(piece);
    const body = Buffer.concat(pieces);
    const { 'content-length': _length, 'transfer-encoding': _coding, ...headers } = answer.headers;
    if (does === 'cut answer') {
      to.writeHead(answer.statusCode, { ...headers, 'Content-Length': body.length });
      to.write(body.subarray(0, body.length / 2));
      return setTimeout(() => to.destroy(), 20);
    }
    const changed = does(String(body), answer.statusCode);
    const { status = answer.statusCode, body: said = changed } = typeof changed === 'object' ? changed : {};
    to.writeHead(status, headers);
    return to.end(said);
  }

  const server = createServer((from, to) => void pass(from, to).catch(() => to.destroy()));
  server.on('connection', (socket) => {
    open.add(socket);
    socket.on('close', () => open.delete(socket));
  });
  await new Promise((done) => server.listen(0, '127.0.0.1', done));
  return {
    address: `http://127.0.0.1:${server.address().port}`,
    /** From now on it does this. */
    now(does) {
      box.meddle = does ?? (() => undefined);
    },
    /** Cuts every connection that is open. */
    cut: () => open.forEach((socket) => socket.destroy()),
    async stop() {
      open.forEach((socket) => socket.destroy());
      await new Promise((done) => server.close(done));
    },
  };
}
