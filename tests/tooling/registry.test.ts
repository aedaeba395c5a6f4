import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { afterEach, expect, it, vi } from 'vitest';
import { npm, RegistryUnreachable } from '../../packages/tooling/src/registry.js';

let server: Server | undefined;

/** A registry that answers all with one status; its address. */
async function registry(status: number): Promise<string> {
  server = createServer((_request, response) => {
    response.writeHead(status, { 'content-type': 'application/json' }).end('{}');
  });
  await new Promise<void>((resolve) => server?.listen(0, '127.0.0.1', resolve));
  return `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
}

const view = (): Promise<string> => npm(['view', 'invented-by-firmtally', 'version'], tmpdir());

afterEach(() => {
  vi.unstubAllEnvs();
  server?.close();
  server = undefined;
});

it('says that the registry cannot be reached, and why, when nothing answers', async () => {
  const gone = await registry(200);
  server?.close();
  vi.stubEnv('npm_config_registry', gone);
  const error = await view().catch((thrown: unknown) => thrown);
  expect(error).toBeInstanceOf(RegistryUnreachable);
  expect((error as Error).message).toContain('ECONNREFUSED');
});

it('is a failure like any other when the registry answers', async () => {
  vi.stubEnv('npm_config_registry', await registry(404));
  const error = await view().catch((thrown: unknown) => thrown);
  expect(error).toBeInstanceOf(Error);
  expect(error).not.toBeInstanceOf(RegistryUnreachable);
  expect((error as Error).message).toContain('E404');
});
