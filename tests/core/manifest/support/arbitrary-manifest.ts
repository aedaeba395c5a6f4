import fc from 'fast-check';

/** Manifests as plain data, valid by construction, of invented content. */
export interface PlainManifest {
  firmtally: 1;
  title?: string;
  folder?: string;
  case?: 'exact' | 'ignore';
  firmware: Record<string, PlainFirmware>;
  systems: Record<string, { name?: string; requires: unknown[]; optional?: string[] }>;
  loadouts?: Record<string, string[] | { systems: string[]; folder?: string; name?: string }>;
}

interface PlainFirmware {
  path: string;
  folder?: string;
  note?: string;
  dumps?: PlainDump[];
}

interface PlainDump {
  label?: string;
  size?: number;
  crc32?: string;
  md5?: string;
  sha1?: string;
  sha256?: string;
}

/** Hex digits that YAML readers like to take for numbers are as likely as others. */
const hex = (length: number): fc.Arbitrary<string> =>
  fc
    .oneof(
      fc.string({
        unit: fc.constantFrom(...Array.from('0123456789')),
        minLength: length,
        maxLength: length,
      }),
      fc.string({
        unit: fc.constantFrom(...Array.from('0123456789abcdefABCDEF')),
        minLength: length,
        maxLength: length,
      }),
      fc.nat(99_999).map((n) => `1e${n}`.padEnd(length, '0')),
      fc.integer({ min: 0, max: 9999 }).map((n) => String(n).padStart(length, '0')),
    )
    .map((text) => text.slice(0, length));

const id = fc.oneof(
  fc.stringMatching(/^[a-z0-9][a-z0-9._+-]{0,12}$/),
  fc.constantFrom('constructor', 'toString', '猫', '123', '1e5', 'true', 'x'.repeat(100)),
);

const text = fc.oneof(
  fc.string({ unit: 'grapheme', minLength: 1, maxLength: 12 }),
  fc.constantFrom('null', '~', 'true', '12', ' # no', 'a: b', '- x', '"', "'", '\\', '\t', '🦅\n'),
);

const folder = fc.stringMatching(/^[a-z0-9_]{1,6}(\/[a-z0-9_]{1,6}){0,2}$/);

const dump: fc.Arbitrary<PlainDump> = fc
  .record(
    {
      label: text,
      size: fc.oneof(fc.maxSafeNat(), fc.integer({ min: 1, max: 1 << 24 })),
      crc32: hex(8),
      md5: hex(32),
      sha1: hex(40),
      sha256: hex(64),
    },
    { requiredKeys: [] },
  )
  .filter((value) => ['crc32', 'md5', 'sha1', 'sha256'].some((key) => key in value));

export const manifest: fc.Arbitrary<PlainManifest> = fc
  .uniqueArray(id, { minLength: 1, maxLength: 6 })
  .chain((ids) => {
    const some = fc.subarray(ids);
    return fc.record(
      {
        firmtally: fc.constant(1 as const),
        title: text,
        folder,
        case: fc.constantFrom('exact' as const, 'ignore' as const),
        firmware: fc
          .tuple(
            ...ids.map(() =>
              fc.record(
                { folder, note: text, dumps: fc.array(dump, { maxLength: 3 }) },
                { requiredKeys: [] },
              ),
            ),
          )
          .map((entries) =>
            Object.fromEntries(
              // Paths by position, so that no two entries want one place.
              ids.map((key, n) => [key, { path: `file-${n}.bin`, ...entries[n] }] as const),
            ),
          ),
        systems: fc.dictionary(
          fc.stringMatching(/^s[a-z]{1,6}$/),
          fc.record({ name: text, requires: some, optional: some }, { requiredKeys: ['requires'] }),
          { minKeys: 1, maxKeys: 3 },
        ),
        loadouts: fc.constant({}),
      },
      { requiredKeys: ['firmtally', 'firmware', 'systems'] },
    );
  });
