import { spawn, type ChildProcessWithoutNullStreams } from 'node:child_process';
import { createRequire } from 'node:module';

interface Position {
  readonly line: number;
  readonly character: number;
}

export interface Diagnostic {
  readonly range: { readonly start: Position; readonly end: Position };
  readonly message: string;
}

interface Message {
  readonly id?: number;
  readonly method?: string;
  readonly params?: unknown;
  readonly result?: unknown;
  readonly error?: unknown;
}

/** yaml-language-server (npm) as an editor speaks to it: LSP 3.17 over stdio. */
export class LanguageServer {
  readonly #process: ChildProcessWithoutNullStreams;
  readonly #settings: Readonly<Record<string, unknown>>;
  readonly #answers = new Map<number, (message: Message) => void>();
  readonly #diagnostics = new Map<string, (found: readonly Diagnostic[]) => void>();
  #received = Buffer.alloc(0);
  #lastId = 0;

  private constructor(schemas: Readonly<Record<string, readonly string[]>>) {
    // Nothing from the network: no store of schemas.
    this.#settings = { yaml: { schemas, validate: true, schemaStore: { enable: false } } };
    const program = createRequire(import.meta.url).resolve(
      'yaml-language-server/bin/yaml-language-server',
    );
    this.#process = spawn(process.execPath, [program, '--stdio']);
    this.#process.stdout.on('data', (chunk: Buffer) => this.#receive(chunk));
  }

  /** `schemas`: address of a schema -> patterns of the files it is for. */
  static async start(
    schemas: Readonly<Record<string, readonly string[]>>,
  ): Promise<LanguageServer> {
    const server = new LanguageServer(schemas);
    await server.request('initialize', {
      processId: process.pid,
      rootUri: null,
      capabilities: {
        textDocument: {
          completion: { completionItem: { snippetSupport: true } },
          hover: { contentFormat: ['markdown'] },
        },
        workspace: { configuration: true },
      },
    });
    server.#send({ method: 'initialized', params: {} });
    server.#send({
      method: 'workspace/didChangeConfiguration',
      params: { settings: server.#settings },
    });
    return server;
  }

  /** Opens a document and gives what is found wrong with it. */
  open(uri: string, text: string): Promise<readonly Diagnostic[]> {
    const found = new Promise<readonly Diagnostic[]>((resolve) => {
      this.#diagnostics.set(uri, resolve);
    });
    const textDocument = { uri, languageId: 'yaml', version: 1, text };
    this.#send({ method: 'textDocument/didOpen', params: { textDocument } });
    return found;
  }

  request(method: string, params: unknown): Promise<unknown> {
    const id = ++this.#lastId;
    const answer = new Promise<unknown>((resolve, reject) => {
      this.#answers.set(id, ({ result, error }) => {
        if (error === undefined) resolve(result);
        else reject(new Error(JSON.stringify(error)));
      });
    });
    this.#send({ id, method, params });
    return answer;
  }

  async stop(): Promise<void> {
    await this.request('shutdown', null);
    this.#send({ method: 'exit' });
    if (this.#process.exitCode === null) {
      await new Promise((resolve) => this.#process.once('exit', resolve));
    }
  }

  #send(message: Message): void {
    const body = Buffer.from(JSON.stringify({ jsonrpc: '2.0', ...message }));
    this.#process.stdin.write(`Content-Length: ${String(body.length)}\r\n\r\n`);
    this.#process.stdin.write(body);
  }

  #receive(chunk: Buffer): void {
    this.#received = Buffer.concat([this.#received, chunk]);
    for (;;) {
      const head = this.#received.indexOf('\r\n\r\n');
      if (head === -1) return;
      const length = /Content-Length: ([0-9]+)/i.exec(this.#received.toString('latin1', 0, head));
      const end = head + 4 + Number(length?.[1]);
      if (this.#received.length < end) return;
      const message = JSON.parse(this.#received.toString('utf8', head + 4, end)) as Message;
      this.#received = this.#received.subarray(end);
      this.#take(message);
    }
  }

  #take(message: Message): void {
    const { id, method, params } = message;
    if (method === undefined) {
      this.#answers.get(id ?? 0)?.(message);
    } else if (method === 'textDocument/publishDiagnostics') {
      const { uri, diagnostics } = params as {
        uri: string;
        diagnostics: readonly Diagnostic[];
      };
      this.#diagnostics.get(uri)?.(diagnostics);
    } else if (id !== undefined) {
      const items = (params as { items?: readonly { section: string }[] } | null)?.items ?? [];
      const result = items.map(({ section }) => this.#settings[section] ?? null);
      this.#send({ id, result: method === 'workspace/configuration' ? result : null });
    }
  }
}
