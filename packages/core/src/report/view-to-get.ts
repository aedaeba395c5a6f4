import { ALGORITHM_NAMES, ALGORITHMS, type Algorithm } from '../bytes/digests.js';
import { placeOf } from '../facts/fact.js';
import type { Fact } from '../facts/fact-values.js';
import { count } from '../text/count.js';
import { dumpNameIn, type ExpectedDump } from './expected.js';
import type { FirmwareRow, Report } from './model.js';

/** One thing that has to be got from elsewhere. Texts are untrusted still. */
export interface ToGetItem {
  /** Files of which any one will do; one when there is no choice. */
  readonly files: readonly ToGetFile[];
  /** Names of the systems that lack it. */
  readonly systems: readonly string[];
  readonly systemIds: readonly string[];
  readonly optional: boolean;
  /** What was met instead. */
  readonly facts: readonly string[];
}

/** A file to get, or a ZIP by its members. */
export interface ToGetFile {
  readonly firmware: string;
  /** Where it belongs. */
  readonly path: string;
  readonly note: string | null;
  /** The contents that will do; empty for a ZIP, and where the manifest says nothing of the bytes. */
  readonly dumps: readonly ToGetDump[];
  /** Of a ZIP; empty for a file. */
  readonly members: readonly { readonly path: string; readonly dumps: readonly ToGetDump[] }[];
}

/** One content that will do. */
export interface ToGetDump {
  /** Null when there is nothing to tell apart. */
  readonly name: string | null;
  /** `16384 bytes`; null when the manifest gives no size. */
  readonly size: string | null;
  /** The one to go by where there is room for one: by which most people look. */
  readonly checksum: Checksum | null;
  readonly checksums: readonly Checksum[];
}

interface Checksum {
  readonly algorithm: Algorithm;
  readonly name: string;
  readonly digest: string;
}

/** Those that lists give most first; CRC-32 alone is met by chance too easily to go before others. */
const MOST_ASKED: readonly Algorithm[] = ['sha1', 'md5', 'sha256', 'crc32'];

/** What a report and a plan have in common. */
export type ToGetSource = Pick<Report, 'toGet'> & {
  readonly systems: readonly Pick<Report['systems'][number], 'id' | 'name'>[];
};

/** What is known of a firmware that is to get. */
export interface ToGetRows {
  get(id: string): Pick<FirmwareRow, 'expectedPath' | 'expected' | 'note'> | undefined;
}

/** Words what is to get, what is required first. */
export function toGetOf(report: ToGetSource, rows: ToGetRows): ToGetItem[] {
  const names = new Map(report.systems.map(({ id, name }) => [id, name]));
  const items = report.toGet.map(({ anyOf, systems, optional, facts }): ToGetItem => ({
    files: anyOf.flatMap((id) => fileOf(id, rows)),
    systems: systems.map((id) => names.get(id) ?? id),
    systemIds: systems,
    optional,
    facts: facts.map((fact) => instead(fact, anyOf, rows)),
  }));
  return [...items.filter((item) => !item.optional), ...items.filter((item) => item.optional)];
}

/** Where there is no choice it need not be said in place of what; at the place itself not even where. */
function instead(fact: Fact, anyOf: readonly string[], rows: ToGetRows): string {
  const [only = ''] = anyOf;
  if (fact.code !== 'met-instead' || anyOf.length > 1) return fact.text;
  const isThere = fact.source === null && fact.path === rows.get(only)?.expectedPath;
  return isThere ? fact.fact.text : `${placeOf(fact.source, fact.path)}: ${fact.fact.text}`;
}

function fileOf(id: string, rows: ToGetRows): ToGetFile[] {
  const row = rows.get(id);
  if (row === undefined) return [];
  const { expected } = row;
  return [
    {
      firmware: id,
      path: row.expectedPath,
      note: row.note,
      dumps: expected !== null && 'dumps' in expected ? dumpsOf(expected.dumps) : [],
      members:
        expected !== null && 'members' in expected
          ? expected.members.map(({ path, dumps }) => ({ path, dumps: dumpsOf(dumps) }))
          : [],
    },
  ];
}

function dumpsOf(dumps: readonly ExpectedDump[]): ToGetDump[] {
  return dumps.map((dump) => {
    const checksums = ALGORITHMS.flatMap((algorithm): Checksum[] => {
      const digest = dump[algorithm];
      return digest === null ? [] : [{ algorithm, name: ALGORITHM_NAMES[algorithm], digest }];
    });
    const [first] = MOST_ASKED.flatMap((wanted) =>
      checksums.filter(({ algorithm }) => algorithm === wanted),
    );
    return {
      name: dumpNameIn(dumps, dump.label),
      size: dump.size === null ? null : count(dump.size, 'byte'),
      checksum: first ?? null,
      checksums,
    };
  });
}
