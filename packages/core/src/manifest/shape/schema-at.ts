import { schemaText } from '../../schemas.js';
import { tokens } from '../parse/pointer.js';

/** What the manifest's schema says of a part, as far as it is used here. */
export interface Schema {
  readonly $ref?: string;
  readonly $defs?: Readonly<Record<string, Schema>>;
  readonly title?: string;
  readonly type?: string | readonly string[];
  readonly const?: unknown;
  readonly pattern?: string;
  readonly maxLength?: number;
  readonly required?: readonly string[];
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly additionalProperties?: Schema | false;
  readonly items?: Schema;
  readonly anyOf?: readonly Schema[];
  readonly dependentSchemas?: Readonly<Record<string, Schema>>;
  /** What belongs here, for people; editors show it too. */
  readonly errorMessage?: string;
  /** What form a text here has. */
  readonly patternErrorMessage?: string;
}

/** The part of the manifest's schema that a value is held to. */
export interface SchemaPart {
  /** Name in `$defs`; null for a part written in place. */
  readonly name: string | null;
  readonly schema: Schema;
  /** Keys that a map there may have, for people to choose from. */
  readonly keys: readonly string[];
}

/**
 * The schema part for the value a JSON Pointer names. Found from the value's
 * place: an error's schema path depends on how ajv divides the schema into functions.
 */
export function schemaAt(pointer: string): SchemaPart {
  let part = resolve(manifestSchema());
  for (const token of tokens(pointer)) {
    const { properties, additionalProperties, items } = part.schema;
    const own =
      properties !== undefined && Object.hasOwn(properties, token) ? properties[token] : undefined;
    part = resolve(
      own ?? (additionalProperties === false ? undefined : additionalProperties) ?? items ?? {},
    );
  }
  return part;
}

/** A part with what is said where it is referred to. */
export function resolve(schema: Schema): SchemaPart {
  const name = schema.$ref?.slice('#/$defs/'.length) ?? null;
  const whole = name === null ? schema : { ...definition(name), ...schema };
  // `$schema` is for editors; nobody means to write it.
  const keys = Object.keys(whole.properties ?? {}).filter((key) => !key.startsWith('$'));
  return { name, schema: whole, keys };
}

/** A part by its name in `$defs`. */
export function definition(name: string): Schema {
  return manifestSchema().$defs?.[name] ?? {};
}

let loaded: Schema | undefined;

function manifestSchema(): Schema {
  return (loaded ??= JSON.parse(schemaText('manifest')) as Schema);
}
