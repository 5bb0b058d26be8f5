// A server of the tests' own, which may be killed and started again, and a line to it that may be cut.
import { spawn, type ChildProcess } from 'node:child_process';
import { cpSync, existsSync, mkdtempSync, rmSync } from 'node:fs';
import { connect, createServer, type AddressInfo, type Server as NetServer, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';

const ROOT = resolve(import.meta.dirname, '../..');

function program(): string {
  const path = process.env['HANDSEL_SERVER'] ?? join(process.env['CARGO_TARGET_DIR'] ?? join(ROOT, 'target'), 'debug/handsel');
  if (!existsSync(path)) throw new Error(`no server at ${path}: build it, or name one in HANDSEL_SERVER`);
  return path;
}

export class TestServer {
  #child: ChildProcess | null = null;
  port = 0;
  password = '';
  #log = '';

  private constructor(
    readonly data: string,
    private readonly more: Readonly<Record<string, string>>,
  ) {}

  /** With the demonstration fleet in a folder of its own. A folder laid out before is copied, which is quicker. */
  static async start(more: Readonly<Record<string, string>> = {}): Promise<TestServer> {
    const data = mkdtempSync(join(tmpdir(), 'handsel-e2e-'));
    const laidOut = process.env['HANDSEL_LAID_OUT'];
    if (laidOut) cpSync(laidOut, data, { recursive: true });
    const server = new TestServer(data, more);
    await server.up();
    return server;
  }

  async up(): Promise<void> {
    const args = ['demo', '--port', String(this.port), '--data', this.data];
    const child = spawn(program(), args, { env: { ...process.env, ...this.more } });
    this.#child = child;
    this.#log = '';
    const note = (chunk: Buffer) => (this.#log += chunk.toString());
    child.stdout.on('data', note);
    child.stderr.on('data', note);
    for (let i = 0; i < 2400; i += 1) {
      const port = /http:\/\/127\.0\.0\.1:(\d+)/u.exec(this.#log)?.[1];
      const password = /password (\S+):/u.exec(this.#log)?.[1];
      if (port !== undefined && password !== undefined) {
        this.port = Number(port);
        this.password = password;
        if (await this.ready()) return;
      }
      if (child.exitCode !== null) throw new Error(`the server ended: ${this.#log}`);
      await new Promise((r) => setTimeout(r, 250));
    }
    throw new Error(`the server did not come up: ${this.#log}`);
  }

  async ready(): Promise<boolean> {
    try {
      return (await fetch(`${this.url}/readyz`)).ok;
    } catch (error) {
      // Not listening yet: asked again by whoever waits.
      if (error instanceof TypeError) return false;
      throw error;
    }
  }

  get url(): string {
    return `http://127.0.0.1:${this.port}`;
  }

  /** As a machine that loses its power would end it. */
  async kill(): Promise<void> {
    const child = this.#child;
    if (!child) return;
    const gone = new Promise((done) => child.once('exit', done));
    child.kill('SIGKILL');
    await gone;
    this.#child = null;
  }

  async end(): Promise<void> {
    await this.kill();
    rmSync(this.data, { recursive: true, force: true });
  }
}

/** Stands between the browser and the server, as a signal does. */
export class Line {
  readonly #sockets = new Set<Socket>();
  #net: NetServer | null = null;
  #cut = false;
  port = 0;
  /** Bytes from the browser that went through. */
  sent = 0;
  /** Most bytes a second from the browser, shared by everything on the line; without a number as fast as it goes. */
  rate: number | null = null;
  #busyUntil = 0;
  cuts = 0;

  constructor(private readonly to: () => number) {}

  async open(): Promise<void> {
    const net = createServer((near) => {
      if (this.#cut) {
        near.destroy();
        return;
      }
      const far = connect(this.to(), '127.0.0.1');
      for (const socket of [near, far]) {
        this.#sockets.add(socket);
        socket.on('close', () => {
          this.#sockets.delete(socket);
          near.destroy();
          far.destroy();
        });
        // A line that is cut breaks what is on it; the close above tidies up.
        socket.on('error', () => socket.destroy());
      }
      near.on('data', (chunk) => this.#carry(near, far, chunk));
      near.on('end', () => far.end());
      far.pipe(near);
    });
    this.#net = net;
    await new Promise<void>((done) => net.listen(0, '127.0.0.1', done));
    this.port = (net.address() as AddressInfo).port;
  }

  #carry(near: Socket, far: Socket, chunk: Buffer): void {
    const deliver = () => {
      if (far.destroyed) return;
      this.sent += chunk.length;
      if (far.write(chunk)) near.resume();
      else far.once('drain', () => near.resume());
    };
    near.pause();
    if (this.rate === null) {
      deliver();
      return;
    }
    const now = Date.now();
    this.#busyUntil = Math.max(now, this.#busyUntil) + (chunk.length / this.rate) * 1000;
    setTimeout(deliver, this.#busyUntil - now);
  }

  get url(): string {
    return `http://127.0.0.1:${this.port}`;
  }

  /** Everything on the line is lost, in both directions, until it is mended. */
  cut(): void {
    this.#cut = true;
    this.cuts += 1;
    for (const socket of this.#sockets) socket.destroy();
  }

  mend(): void {
    this.#cut = false;
  }

  async close(): Promise<void> {
    this.cut();
    const net = this.#net;
    if (net) await new Promise((done) => net.close(done));
  }
}

export type Account = 'desk' | 'yard' | 'office' | 'manager';

/** The server asked directly, past the browser and the line: what it truly has. */
export class Direct {
  readonly #tokens = new Map<Account, string>();

  constructor(private readonly server: TestServer) {}

  async #token(who: Account): Promise<string> {
    const known = this.#tokens.get(who);
    if (known !== undefined) return known;
    const response = await fetch(`${this.server.url}/api/v1/auth/login`, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify({ email: `${who}@fernway.example`, password: this.server.password }),
    });
    if (!response.ok) throw new Error(`${who} cannot sign in: ${response.status} ${await response.text()}`);
    const { access_token } = (await response.json()) as { access_token: string };
    this.#tokens.set(who, access_token);
    return access_token;
  }

  async raw(who: Account, path: string, init: RequestInit = {}): Promise<Response> {
    const ask = async () => {
      const headers = new Headers(init.headers);
      headers.set('Authorization', `Bearer ${await this.#token(who)}`);
      return fetch(`${this.server.url}/api/v1${path}`, { ...init, headers });
    };
    let response = await ask();
    if (response.status === 401) {
      // A server that was started again takes no token of before, and none lives longer than a quarter of an hour.
      this.#tokens.delete(who);
      response = await ask();
    }
    if (!response.ok) throw new Error(`${init.method ?? 'GET'} ${path}: ${response.status} ${await response.text()}`);
    return response;
  }

  async get<T>(path: string, who: Account = 'manager'): Promise<T> {
    return (await this.raw(who, path)).json() as Promise<T>;
  }

  async hire(reference: string): Promise<{ id: string; status: string; departure: string | null; return: string | null; vehicle: string }> {
    const { items } = await this.get<{ items: { reference: string; id: string; status: string; departure: string | null; return: string | null; vehicle: string }[] }>(`/hires?q=${reference}`);
    const found = items.find((h) => h.reference === reference);
    if (!found) throw new Error(`no hire ${reference}`);
    return found;
  }
}
