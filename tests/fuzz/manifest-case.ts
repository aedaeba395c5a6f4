import type { Dump, Firmware, Manifest, Problem, System } from '@firmtally/core';
import { check } from './check.js';
import { makeContents } from './contents.js';
import { write, type Style } from './document.js';
import type { DumpModel, FirmwareModel, ManifestModel, SystemModel } from './expectation.js';
import { makeManifest } from './make-manifest.js';
import { mutateBytes } from './mutate-bytes.js';
import { mutateDocument } from './mutate-document.js';
import { Random } from './random.js';
import { readBytes, readFaultless, type Read } from './subject.js';
import { tortureYaml } from './yaml-torture.js';

const STYLES: readonly Style[] = ['json', 'flow', 'block'];

/** A manifest without faults says what the fuzzer wrote. */
export async function faultlessManifestCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const { model, document } = makeManifest(random, makeContents(random, 8));
  const text = write(document, random.pick(STYLES), random);
  compareModel(await readFaultless(random.chance(0.1) ? `\ufeff${text}` : text), model, text);
}

/** A manifest with one thing changed: what is surely wrong is found, the rest does no harm. */
export async function changedManifestCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const { document } = makeManifest(random, makeContents(random, 8));
  const mustBe = mutateDocument(random, document);
  const text = write(document, random.pick(STYLES), random);
  const read = await harmless(Buffer.from(text));
  if (mustBe === 'open') return;
  check(read.problems.length > 0, 'a problem is found', text);
  if (mustBe === 'error') {
    check(read.manifest === null, 'an error is found', { text, problems: read.problems });
  }
}

/** Bytes changed anywhere, twice or more: whatever comes of it, no harm. */
export async function damagedManifestCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const { document } = makeManifest(random, makeContents(random, 4));
  const text = write(document, random.pick(STYLES), random);
  await harmless(mutateBytes(random, Buffer.from(text)));
}

/** YAML made to hurt. */
export async function tortureManifestCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const bytes = tortureYaml(random);
  await harmless(random.chance(0.3) ? mutateBytes(random, bytes) : bytes);
}

/** Reads bytes; what comes back must be well-formed whatever they hold. */
async function harmless(bytes: Buffer): Promise<Read> {
  const before = Object.getOwnPropertyNames(Object.prototype).length;
  const read = await readBytes([{ path: 'm.yaml', bytes }]);
  const seen = { read, text: bytes.toString('utf8').slice(0, 2000) };
  check(Object.getOwnPropertyNames(Object.prototype).length === before, 'a clean prototype', seen);
  const hasError = read.problems.some((problem) => problem.severity === 'error');
  check(hasError === (read.manifest === null), 'a manifest exactly when there is no error', seen);
  // As editors count lines: a carriage return alone, a line break in YAML 1.2.2 (5.4), is none.
  const lines = textOf(bytes).split('\n');
  for (const problem of read.problems) wellFormed(problem, lines);
  return read;
}

/** UTF-16 where a byte-order mark says so (Unicode 17, 23.8), else UTF-8. */
function textOf(bytes: Uint8Array): string {
  const mark = `${String(bytes[0])} ${String(bytes[1])}`;
  const encoding = mark === '255 254' ? 'utf-16le' : mark === '254 255' ? 'utf-16be' : 'utf-8';
  return new TextDecoder(encoding).decode(bytes);
}

function wellFormed(problem: Problem, lines: readonly string[]): void {
  check(/^[a-z]+(?:-[a-z0-9]+)*$/u.test(problem.rule), 'a kebab-case rule id', problem);
  check(
    problem.message.length > 0 && problem.message.length < 2000,
    'a message of some length',
    problem,
  );
  check(problem.file === 'm.yaml', 'the file', problem);
  check(problem.line >= 1 && problem.line <= lines.length + 1, 'a line of the file', problem);
  const length = (lines[problem.line - 1] ?? '').length;
  check(problem.column >= 1 && problem.column <= length + 2, 'a column of the line', problem);
  const after =
    problem.endLine > problem.line ||
    (problem.endLine === problem.line && problem.endColumn >= problem.column);
  check(after, 'an end after the start', problem);
  check(/^(?:\/(?:[^~/]|~[01])*)*$/u.test(problem.pointer), 'an RFC 6901 pointer', problem);
}

function compareModel(manifest: Manifest, model: ManifestModel, text: string): void {
  const equal = (got: unknown, wanted: unknown, what: string): void =>
    check(JSON.stringify(got) === JSON.stringify(wanted), what, { got, wanted, text });
  equal(
    [...manifest.firmware.keys()].sort(),
    model.firmware.map((one) => one.id).sort(),
    'firmware ids',
  );
  equal(
    [...manifest.systems.keys()].sort(),
    model.systems.map((one) => one.id).sort(),
    'system ids',
  );
  for (const one of model.firmware) {
    const got = manifest.firmware.get(one.id);
    check(got !== undefined, 'an entry', one);
    equal(saidOf(got), firmwareSays(one, model), `firmware ${one.id}`);
  }
  for (const one of model.systems) {
    const got = manifest.systems.get(one.id);
    check(got !== undefined, 'a system', one);
    equal(saidOfSystem(got), systemSays(one), `system ${one.id}`);
  }
}

/** Both sides in one form, key by key. */
function saidOf(one: Firmware): unknown {
  return [
    one.path,
    one.folder,
    one.defaultFolder,
    one.case,
    one.dumps.map(dump),
    one.members?.map((m) => [m.path, m.dumps.map(dump)]) ?? null,
  ];
}

function firmwareSays(one: FirmwareModel, model: ManifestModel): unknown {
  return [
    one.path,
    one.folder === '.' ? '' : one.folder,
    model.folder === '.' ? '' : (model.folder ?? ''),
    model.ignoreCase ? 'ignore' : 'exact',
    one.dumps.map(dumpSays),
    one.members?.map((m) => [m.path, m.dumps.map(dumpSays)]) ?? null,
  ];
}

function dump(one: Dump): unknown {
  return [one.label, one.size, Object.entries(one.digests).sort()];
}

function dumpSays(one: DumpModel, index: number): unknown {
  return [one.label ?? `#${index + 1}`, one.size, Object.entries(one.digests).sort()];
}

function saidOfSystem(one: System): unknown {
  return [
    one.requires.map((item) => ('firmware' in item ? item.firmware : item.anyOf)),
    one.optional,
    one.folders.map((folder) => [folder.path, folder.atLeast, folder.extensions]),
  ];
}

function systemSays(one: SystemModel): unknown {
  return [
    one.requires,
    one.optional,
    one.folders.map((folder) => [
      folder.path === '.' ? '' : folder.path,
      folder.atLeast ?? 1,
      folder.extensions.map((extension) => extension.toLowerCase()),
    ]),
  ];
}
