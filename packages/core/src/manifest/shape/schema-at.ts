import { schemaText } from '../../schemas.js';
import { tokens } from '../parse/pointer.js';

interface Schema {
  readonly $ref?: string;
  readonly $defs?: Readonly<Record<string, Schema>>;
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly additionalProperties?: Schema | false;
  readonly items?: Schema;
}

/** The part of the manifest's schema that a value is held to. */
export interface SchemaPart {
  /** Name in `$defs`; null for a part written in place. */
  readonly name: string | null;
  /** Keys that a map there may have, for people to choose from. */
  readonly keys: readonly string[];
}

/**
 * The schema part for the value a JSON Pointer names. Found from the value's
 * place: an error's schema path depends on how ajv divides the schema into functions.
 */
export function schemaAt(pointer: string): SchemaPart {
  let part = resolve(root());
  for (const token of tokens(pointer)) {
    const { properties, additionalProperties, items } = part.schema;
    const own =
      properties !== undefined && Object.hasOwn(properties, token) ? properties[token] : undefined;
    part = resolve(
      own ?? (additionalProperties === false ? undefined : additionalProperties) ?? items ?? {},
    );
  }
  // `$schema` is for editors; nobody means to write it.
  const keys = Object.keys(part.schema.properties ?? {}).filter((key) => !key.startsWith('$'));
  return { name: part.name, keys };
}

function resolve(schema: Schema): { name: string | null; schema: Schema } {
  const name = schema.$ref?.slice('#/$defs/'.length);
  if (name === undefined) return { name: null, schema };
  return { name, schema: root().$defs?.[name] ?? {} };
}

let loaded: Schema | undefined;

function root(): Schema {
  return (loaded ??= JSON.parse(schemaText('manifest')) as Schema);
}
