import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import {
  Extractor,
  ExtractorConfig,
  ExtractorLogLevel,
  ExtractorMessageCategory,
} from '@microsoft/api-extractor';
import { inWorkspace } from '../paths.js';

/** What became of one package's report. */
export interface ApiReport {
  /** Whether the committed report differs from the built declarations (before any rewriting). */
  readonly changed: boolean;
  /** Of the report, in the workspace. */
  readonly path: string;
  /** The report as it should be. */
  readonly text: string;
}

/** Makes the API report of packages/<name> from its built declarations; `write` updates the committed one. */
export function reportApi(name: string, write: boolean): ApiReport {
  const tempFolder = mkdtempSync(join(tmpdir(), 'firmtally-api-'));
  try {
    return extract(name, write, tempFolder);
  } finally {
    rmSync(tempFolder, { recursive: true });
  }
}

function extract(name: string, write: boolean, tempFolder: string): ApiReport {
  const folder = inWorkspace(`packages/${name}`);
  const reportFolder = `packages/${name}/api`;
  mkdirSync(inWorkspace(reportFolder), { recursive: true });
  const config = ExtractorConfig.prepare({
    configObject: {
      projectFolder: folder,
      mainEntryPointFilePath: `${folder}/dist/index.d.ts`,
      newlineKind: 'lf',
      compiler: { overrideTsconfig: compilerOptions() },
      apiReport: {
        enabled: true,
        reportFileName: `${name}.api.md`,
        reportFolder: inWorkspace(reportFolder),
        reportTempFolder: tempFolder,
      },
      docModel: { enabled: false },
      dtsRollup: { enabled: false },
      tsdocMetadata: { enabled: false },
      messages: {
        extractorMessageReporting: {
          default: { logLevel: ExtractorLogLevel.Warning, addToApiReportFile: true },
          // Everything exported is public: no release tags are used.
          'ae-missing-release-tag': { logLevel: ExtractorLogLevel.None },
          // The report marks them; a list with line numbers would change with every edit.
          'ae-undocumented': { logLevel: ExtractorLogLevel.None },
          // Plain JSDoc, not TSDoc: links name symbols of other files.
          'ae-unresolved-link': { logLevel: ExtractorLogLevel.None },
        },
        tsdocMessageReporting: { default: { logLevel: ExtractorLogLevel.None } },
      },
    },
    configObjectFullPath: undefined,
    packageJsonFullPath: `${folder}/package.json`,
  });
  const result = Extractor.invoke(config, {
    localBuild: write,
    messageCallback: (message) => {
      // This tool says itself, in fewer words, that a report is stale.
      if (message.category === ExtractorMessageCategory.Console)
        message.logLevel = ExtractorLogLevel.None;
    },
  });
  return {
    changed: result.apiReportChanged,
    path: `${reportFolder}/${name}.api.md`,
    text: readFileSync(`${tempFolder}/${name}.api.md`, 'utf8'),
  };
}

/**
 * Of the workspace's own, but without `paths`: imports of the other package
 * are to resolve to its built declarations, as they will for a user.
 */
function compilerOptions(): object {
  return {
    compilerOptions: {
      target: 'ES2022',
      lib: ['ES2023', 'DOM', 'DOM.AsyncIterable'],
      module: 'nodenext',
      moduleResolution: 'nodenext',
      types: ['node'],
      typeRoots: [inWorkspace('node_modules/@types')],
      strict: true,
      exactOptionalPropertyTypes: true,
      skipLibCheck: true,
    },
    files: ['dist/index.d.ts'],
  };
}
