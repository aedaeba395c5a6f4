/**
 * No false sentence: random cards, piles and lists of values, some with slips,
 * and each fact that is said checked from its values against the bytes, by code
 * of its own (node:crypto, node:zlib and plain loops; nothing of the product).
 * FIRMTALLY_TRUTH_RUNS=2000 makes the long run.
 */
import { createHash } from 'node:crypto';
import { crc32, gunzipSync, gzipSync } from 'node:zlib';
import {
  audit,
  identify,
  planPlacement,
  type ContainerStep,
  type Dump,
  type Fact,
  type Firmware,
  type Origin,
  type Plan,
} from '@firmtally/core';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { dumpOf, firmware, manifest, system } from '../../support/entries.js';
import { MemoryFolder, PLATFORM } from '../../support/memory-folder.js';
import { writeZip } from '../../support/zip.js';
import { noise } from '../diagnose/support.js';

const RUNS = Number(process.env['FIRMTALLY_TRUTH_RUNS'] ?? 200);

/** What each ZIP and gzip file that was made holds, by its bytes. */
const held = new Map<string, ReadonlyMap<string, Buffer>>();

function zipOf(members: Readonly<Record<string, Buffer>>): Buffer {
  const zip = writeZip(Object.entries(members).map(([name, bytes]) => ({ name, bytes })));
  held.set(sha(zip), new Map(Object.entries(members)));
  return zip;
}

// Few contents, so that they meet often; sizes with something to swap and to double.
const CONTENTS = [
  Buffer.from(noise(64, 1)),
  Buffer.from(noise(256, 2)),
  Buffer.concat([
    Buffer.from('line\nline\n'),
    Buffer.from(noise(54, 3)).map((byte) => byte | 0x80),
  ]),
  Buffer.from(noise(128, 4)),
];

const damaged = (bytes: Buffer): readonly Buffer[] => [
  bytes,
  bytes.subarray(0, bytes.length / 2),
  Buffer.concat([bytes, Buffer.alloc(40, 0xff)]),
  Buffer.concat([bytes, Buffer.from(noise(16, 9))]),
  Buffer.concat([Buffer.from(noise(16, 8)), bytes]),
  Buffer.concat([Buffer.from(noise(16, 8)), bytes, Buffer.from(noise(5, 7))]),
  Buffer.concat([bytes, bytes]),
  Buffer.concat([bytes, bytes, bytes]),
  Buffer.from(bytes).swap16(),
  Buffer.from(bytes).swap32(),
  Buffer.from(bytes.toString('latin1').replaceAll('\n', '\r\n'), 'latin1'),
  Buffer.from(bytes.map((_, index) => bytes[(index % 2) * (bytes.length / 2) + (index >> 1)] ?? 0)),
  gzipSync(bytes),
  gzipSync(Buffer.concat([bytes, Buffer.alloc(40)])),
  zipOf({ 'in.bin': bytes }),
  zipOf({ k1: bytes, k2: CONTENTS[3] ?? bytes }),
  zipOf({ k1: bytes.subarray(1), k2: CONTENTS[3] ?? bytes }),
  zipOf({ k2: bytes, extra: bytes }),
  zipOf({ 'z.zip': zipOf({ k1: bytes, k2: CONTENTS[3] ?? bytes }) }),
  zipOf({ 'b.gz': gzipSync(bytes) }),
  Buffer.alloc(bytes.length),
  Buffer.alloc(50, 0xff),
  Buffer.alloc(0),
  Buffer.from('<!doctype html><p>Log in</p>'),
];
const FILES = CONTENTS.flatMap(damaged);

const content = fc.constantFrom(...CONTENTS);
const file = fc.constantFrom(...FILES);
const path = fc.constantFrom(
  'fw/a.bin',
  'fw/A.bin',
  'fw/b.bin',
  'fw/c.zip',
  'x/a.bin',
  'a (1).bin',
  'x/b.gz',
);
/** A dump as a list gives it: sometimes one value is another dump's, or the size is gone, or there is only a size. */
const dump: fc.Arbitrary<Dump> = fc
  .record({
    bytes: content,
    other: content,
    slip: fc.oneof(
      { weight: 6, arbitrary: fc.constant(null) },
      {
        weight: 4,
        arbitrary: fc.constantFrom('size', 'md5', 'crc32', 'all but crc32', 'only size'),
      },
    ),
    sized: fc.boolean(),
  })
  .map(({ bytes, other, slip, sized }) => {
    const right = dumpOf(bytes, { size: sized });
    const wrong = dumpOf(other);
    const { crc32: own } = right.digests;
    switch (slip) {
      case 'size':
        return { ...right, size: wrong.size };
      case 'md5':
        return { ...right, digests: { ...right.digests, ...pick(wrong.digests.md5, 'md5') } };
      case 'crc32':
        return { ...right, digests: { ...right.digests, ...pick(wrong.digests.crc32, 'crc32') } };
      case 'all but crc32':
        return { ...right, digests: { ...wrong.digests, ...pick(own, 'crc32') } };
      case 'only size':
        return { ...dumpOf(bytes), digests: {} };
      default:
        return right;
    }
  });

function pick<Key extends string>(
  value: string | undefined,
  key: Key,
): Partial<Record<Key, string>> {
  return value === undefined ? {} : ({ [key]: value } as Record<Key, string>);
}

const entry = fc.record({
  path: fc.constantFrom('fw/a.bin', 'fw/b.bin', 'fw/c.zip'),
  dumps: fc.array(dump, { maxLength: 2 }),
  members: fc.option(
    fc.tuple(dump, dump).map(([one, two]) => [
      { path: 'k1', dumps: [one] },
      { path: 'k2', dumps: [two] },
    ]),
    { freq: 2 },
  ),
});

const files = fc.dictionary(path, file, { maxKeys: 5 });
const entries = fc
  .array(entry, { minLength: 1, maxLength: 4 })
  .map((all) =>
    all.map(({ members, ...one }, index) =>
      firmware(`f${String(index)}`, { ...one, members, dumps: members === null ? one.dumps : [] }),
    ),
  );

it('every fact is true of the bytes, and met in all its kinds', async () => {
  const met = new Set<string>();
  await fc.assert(
    fc.asyncProperty(files, entries, files, async (items, all, onCard) => {
      const of = manifest(all, [
        system('s', { requires: all.map(({ id }) => ({ firmware: id })) }),
      ]);
      const folder = new MemoryFolder(items);
      const report = await audit(folder, { manifests: of, platform: PLATFORM });
      for (const row of report.firmware) {
        const bytes = row.judged === null ? undefined : items[row.judged];
        const wanted = of.firmware.get(row.id);
        for (const each of row.facts) {
          met.add(each.code);
          check(each, bytes, wanted, of.firmware);
        }
      }
      const pile = await identify([{ name: 'pile', kind: 'folder', folder }], {
        manifests: of,
        platform: PLATFORM,
      });
      for (const row of pile.files) {
        const bytes = follow(items[row.path.slice('pile/'.length)], row.inside);
        for (const { id, dump: label } of row.firmware) {
          const wanted = of.firmware.get(id);
          const ok =
            label === null
              ? hasMembers(bytes, wanted)
              : wanted?.dumps.some((each) => each.label === label && isDump(bytes, each));
          expect(ok, `${row.path} is ${id}`).toBe(true);
        }
        const wanted = row.nearest === null ? undefined : of.firmware.get(row.nearest);
        for (const each of row.facts) {
          met.add(each.code);
          check(each, bytes, wanted, of.firmware);
        }
      }
      // Entries of one path that have no dump in common make no manifest.
      const apart = all.filter((one, at) => all.findIndex((each) => each.path === one.path) === at);
      const toPlace = manifest(apart, [
        system('s', { requires: apart.map(({ id }) => ({ firmware: id })) }),
      ]);
      const { plan } = await planPlacement(
        new MemoryFolder(onCard),
        [{ name: 'pile', kind: 'folder', folder }],
        { manifests: toPlace, platform: PLATFORM, repair: true },
      );
      for (const { kind } of plan.steps) met.add(kind);
      checkPlan(plan, toPlace.firmware, items, onCard);
    }),
    { seed: 7, numRuns: RUNS },
  );
  // Otherwise the test would check less than it seems to.
  expect([...met].sort()).toEqual(expect.arrayContaining(ALWAYS_MET));
}, 600_000);

/** Each step says of its bytes what is true of those at its source, and nothing that was there is said to be to get. */
function checkPlan(
  plan: Plan,
  all: ReadonlyMap<string, Firmware>,
  items: Readonly<Record<string, Buffer>>,
  onCard: Readonly<Record<string, Buffer>>,
): void {
  // What an earlier step moved is taken from where it is then.
  const before = new Map([
    ...plan.kept.map(({ to, path: from }) => [to, from] as const),
    ...plan.steps.flatMap((step) =>
      step.kind === 'case-fix' ? [[step.to, step.from.path] as const] : [],
    ),
  ]);
  const at = ({ source, path: from, inside }: Origin): Buffer | undefined => {
    if (source !== null) return follow(items[from], inside);
    let there = from;
    for (let moves = before.size; moves > 0 && onCard[there] === undefined; moves--) {
      there = before.get(there) ?? there;
    }
    return follow(onCard[there], inside);
  };
  const isOf = (bytes: Buffer | undefined, dumps: readonly Dump[], label: string | null): boolean =>
    dumps.some((each) => each.label === label && isDump(bytes, each));
  for (const step of plan.steps) {
    const said = JSON.stringify({ step, before: [...before] });
    const wanted = all.get(step.firmware);
    if (step.kind !== 'case-fix') expect(step.to, said).toBe(wanted?.path);
    const dumps = wanted?.dumps ?? [];
    switch (step.kind) {
      case 'copy':
      case 'extract': {
        const bytes = at(step.from);
        expect(bytes?.length, said).toBe(step.size);
        expect(hasDigests(bytes, step.digests), said).toBe(true);
        const ok = step.dump === null ? hasMembers(bytes, wanted) : isOf(bytes, dumps, step.dump);
        expect(ok, said).toBe(true);
        break;
      }
      case 'repair': {
        expect(at(step.from), said).toBeDefined();
        // Whatever is repaired here was made of one of these.
        const made = CONTENTS.find((bytes) => hasDigests(bytes, step.digests));
        expect(isOf(made, dumps, step.dump), said).toBe(true);
        break;
      }
      case 'pack':
        for (const member of step.members) {
          const bytes =
            member.remedy === null
              ? at(member.from)
              : CONTENTS.find((one) => hasDigests(one, member.digests));
          expect(hasDigests(bytes, member.digests), said).toBe(true);
          const listed = wanted?.members?.find((one) => one.path === member.path);
          const ok = isOf(bytes, listed?.dumps ?? [], member.dump);
          expect(ok, said).toBe(true);
        }
        break;
      case 'case-fix':
        if (step.entry === 'file') {
          expect(hasDigests(at(step.from), step.digests), said).toBe(true);
        }
        expect(step.from.path.toLowerCase()).toBe(step.to.toLowerCase());
    }
  }
  for (const kept of plan.kept) expect(onCard[kept.path]?.length).toBe(kept.size);
  for (const { anyOf, facts } of plan.toGet) {
    for (const id of anyOf) {
      const there = [...Object.values(items), ...Object.values(onCard)].some((bytes) =>
        // Of a dump without a size not every file of a card is read.
        all.get(id)?.dumps.some((each) => each.size !== null && isDump(bytes, each)),
      );
      expect(there, `${id} is to get, and there`).toBe(false);
    }
    for (const each of facts) {
      if (each.code !== 'met-instead') throw new Error(`no check for ${each.text}`);
      const bytes = (each.source === null ? onCard : items)[each.path];
      check(each.fact, bytes, all.get(each.firmware), all);
    }
  }
}

function hasDigests(bytes: Buffer | undefined, digests: Dump['digests']): boolean {
  const given = Object.entries(digests) as [Digested, string][];
  return bytes !== undefined && given.every(([value, digest]) => digest === valueOf(bytes, value));
}

const ALWAYS_MET = [
  'blank',
  'bytes-after',
  'bytes-before',
  'case-fix',
  'copy',
  'cut-short',
  'empty',
  'extract',
  'list-slip',
  'loose-member',
  'member-bytes',
  'member-missing',
  'no-digest',
  'not-a-zip',
  'other-firmware',
  'pack',
  'padding',
  'repair',
  'repeated',
  'size-only',
  'swapped',
  'web-page',
  'wrong-bytes',
  'wrong-size',
];

function check(
  said: Fact,
  bytes: Buffer | undefined,
  wanted: Firmware | undefined,
  all: ReadonlyMap<string, Firmware>,
): void {
  expect(holds(said, bytes ?? null, wanted ?? null, all), JSON.stringify(said)).toBe(true);
}

function holds(
  said: Fact,
  bytes: Buffer | null,
  wanted: Firmware | null,
  all: ReadonlyMap<string, Firmware>,
): boolean {
  if (said.code === 'no-digest') {
    return wanted !== null && wanted.dumps.length === 0 && wanted.members === null;
  }
  if (said.code === 'name-only') {
    const lists = [wanted?.dumps ?? [], ...(wanted?.members ?? []).map((one) => one.dumps)];
    return lists.flat().every((each) => Object.keys(each.digests).length === 0);
  }
  if (bytes === null) return false;
  const dumps = wanted?.dumps ?? [];
  const sizes = [...new Set(dumps.flatMap(({ size }) => (size === null ? [] : [size])))];
  const isOne = (part: Buffer): boolean => dumps.some((each) => isDump(part, each));
  switch (said.code) {
    case 'size-only':
      return said.size === bytes.length && dumps.some((each) => each.size === said.size);
    case 'wrong-size':
      return (
        said.size === bytes.length &&
        !said.sizes.includes(said.size) &&
        said.sizes.join() === sizes.sort((a, b) => a - b).join()
      );
    case 'wrong-bytes':
      return said.size === bytes.length && sizes.includes(said.size) && !isOne(bytes);
    case 'wrong-digests':
      return said.size === bytes.length && !isOne(bytes);
    case 'list-slip':
      return (
        said.agrees.some(({ value }) => value !== 'size') &&
        said.differs.length > 0 &&
        dumps.some(
          (each) =>
            each.label === said.dump &&
            [...said.agrees, ...said.differs].every(
              ({ value, manifest: given, file: found }) =>
                found === valueOf(bytes, value) &&
                given === (value === 'size' ? String(each.size) : each.digests[value]),
            ),
        ) &&
        said.agrees.every(({ manifest: given, file: found }) => given === found) &&
        said.differs.every(({ manifest: given, file: found }) => given !== found)
      );
    case 'empty':
      return bytes.length === 0;
    case 'blank':
      return said.size === bytes.length && bytes.every((byte) => byte === parseInt(said.fill, 16));
    case 'web-page':
      return bytes.toString('latin1').toLowerCase().includes('<!doctype html');
    case 'cut-short':
      return (
        said.size === bytes.length && said.size < said.expected && sizes.includes(said.expected)
      );
    case 'padding': {
      const end = bytes.length - said.bytes;
      const fill = parseInt(said.fill, 16);
      return bytes.subarray(end).every((byte) => byte === fill) && isOne(bytes.subarray(0, end));
    }
    case 'bytes-after':
      // Together with bytes before the dump it is checked there.
      return said.bytes > 0 && said.bytes < bytes.length;
    case 'bytes-before': {
      const rest = bytes.subarray(said.bytes);
      return [rest.length, ...sizes].some((size) => isOne(rest.subarray(0, size)));
    }
    case 'repeated': {
      const length = bytes.length / said.times;
      const part = bytes.subarray(0, length);
      return (
        Buffer.concat(Array.from({ length: said.times }, () => part)).equals(bytes) && isOne(part)
      );
    }
    case 'swapped': {
      const copy = Buffer.from(bytes);
      if (said.order === 'pairs') return isOne(copy.swap16());
      return isOne(said.order === 'words' ? copy.swap32() : copy.swap32().swap16());
    }
    case 'interleaved':
      return isOne(rearranged(bytes, said));
    case 'newlines-changed': {
      const text = bytes.toString('latin1');
      const [from, to] = [said.from, said.to].map(
        (each) => ({ LF: '\n', CR: '\r', 'CR LF': '\r\n' })[each],
      );
      return isOne(Buffer.from(text.replaceAll(to ?? '', from ?? ''), 'latin1'));
    }
    case 'in-gzip':
      return bytes[0] === 0x1f && bytes[1] === 0x8b;
    case 'in-zip':
      return held.get(sha(bytes))?.has(said.member) === true;
    case 'content':
      return insideOf(bytes).some((inner) => holds(said.fact, inner, wanted, all));
    case 'of-member': {
      const inner = held.get(sha(bytes))?.get(said.member);
      if (inner === undefined || wanted === null) return false;
      const member = wanted.members?.find((each) => each.path === said.member);
      // Of one that the entry does not list, what is said is said as of a file.
      if (member === undefined) return holds(said.fact, inner, wanted, all);
      return holds(said.fact, inner, { ...wanted, members: null, dumps: member.dumps }, all);
    }
    case 'other-firmware': {
      const other = all.get(said.firmware);
      return (
        other !== undefined &&
        (other.dumps.some((each) => isDump(bytes, each)) || hasMembers(bytes, other))
      );
    }
    case 'loose-member': {
      const member = all.get(said.firmware)?.members?.find((each) => each.path === said.member);
      return member?.dumps.some((each) => isDump(bytes, each)) === true;
    }
    case 'not-a-zip':
      return !held.has(sha(bytes));
    case 'member-missing': {
      const members = held.get(sha(bytes));
      if (members === undefined || members.has(said.member)) return false;
      return said.near === null || members.has(said.near);
    }
    case 'member-size':
    case 'member-bytes':
    case 'member-size-only': {
      const inner = held.get(sha(bytes))?.get(said.member);
      const member = wanted?.members?.find((each) => each.path === said.member);
      if (inner === undefined || member === undefined) return false;
      if (member.dumps.some((each) => isDump(inner, each))) return false;
      const fits = member.dumps.some(({ size }) => size === null || size === inner.length);
      return said.code === 'member-size' ? !fits && said.size === inner.length : fits;
    }
    case 'member-of-other-name': {
      const inner = held.get(sha(bytes))?.get(said.member);
      const other = wanted?.members?.find((each) => each.path === said.is);
      return inner !== undefined && other?.dumps.some((each) => isDump(inner, each)) === true;
    }
    case 'extra-members': {
      const members = [...(held.get(sha(bytes))?.keys() ?? [])];
      const listed = wanted?.members?.map((each) => each.path) ?? [];
      const extra = members.filter((each) => !listed.includes(each));
      return extra.join() === said.members.join() && said.more === 0;
    }
    default:
      throw new Error(`no check for ${said.code}: ${said.text}`);
  }
}

function insideOf(bytes: Buffer): readonly Buffer[] {
  const members = held.get(sha(bytes));
  if (members !== undefined) return [...members.values()];
  return bytes[0] === 0x1f ? [gunzipSync(bytes)] : [];
}

function follow(bytes: Buffer | undefined, steps: readonly ContainerStep[]): Buffer | undefined {
  let inner = bytes;
  for (const step of steps) {
    if (inner === undefined) return undefined;
    inner = step.kind === 'gunzip' ? gunzipSync(inner) : held.get(sha(inner))?.get(step.member);
  }
  return inner;
}

function hasMembers(bytes: Buffer | undefined, wanted: Firmware | undefined): boolean {
  const members = bytes === undefined ? undefined : held.get(sha(bytes));
  if (members === undefined || wanted === undefined || wanted.members === null) return false;
  return wanted.members.every(({ path: name, dumps }) =>
    dumps.some((each) => isDump(members.get(name), each)),
  );
}

function isDump(bytes: Buffer | undefined, { size, digests }: Dump): boolean {
  if (bytes === undefined || (size !== null && size !== bytes.length)) return false;
  const given = Object.entries(digests) as [Digested, string][];
  return given.length > 0 && given.every(([value, digest]) => digest === valueOf(bytes, value));
}

type Digested = keyof Dump['digests'];

function valueOf(bytes: Buffer, value: Digested | 'size'): string {
  if (value === 'size') return String(bytes.length);
  if (value === 'crc32') return crc32(bytes).toString(16).padStart(8, '0');
  return createHash(value).update(bytes).digest('hex');
}

/** Undoes what the fact says was done to the halves. */
function rearranged(bytes: Buffer, { as, secondFirst }: Fact<'interleaved'>): Buffer {
  const half = bytes.length / 2;
  const even = Buffer.from(bytes.filter((_, index) => index % 2 === 0));
  const odd = Buffer.from(bytes.filter((_, index) => index % 2 === 1));
  if (as === 'mixed') return Buffer.concat(secondFirst ? [odd, even] : [even, odd]);
  const [first, second] = [bytes.subarray(0, half), bytes.subarray(half)];
  const [atEven, atOdd] = secondFirst ? [second, first] : [first, second];
  return Buffer.from(bytes.map((_, index) => (index % 2 === 0 ? atEven : atOdd)[index >> 1] ?? 0));
}

function sha(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}
