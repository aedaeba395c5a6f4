export { SCHEMA_NAMES, schemaText, type SchemaName } from './schemas.js';
export { compareUtf8 } from './text/order.js';
export { escapeText } from './text/escape.js';
export { jsonText } from './text/json-text.js';
export { sentence } from './text/sentence.js';
export { FirmtallyError, type ErrorCode } from './errors.js';
export { TOOL } from './version.js';
export {
  isReadable,
  ReadError,
  type ByteRange,
  type ByteStream,
  type ContentSource,
  type Entry,
  type EntryKind,
  type Fault,
  type FaultCode,
  type FolderSource,
  type LinkFault,
  type LinkTarget,
  type Listed,
  type ListOptions,
  type NameSource,
  type PileSource,
  type RandomAccess,
} from './bytes/source.js';
export type { Archive, ArchiveMember, ArchiveReader, GunzipFailure } from './bytes/archive.js';
export { decodeName, encodeName } from './bytes/names.js';
export type { OnProgress, TaskOptions, TaskPhase, TaskProgress } from './bytes/progress.js';
export { memoryAccess } from './bytes/memory.js';
export {
  ALGORITHMS,
  DIGEST_LENGTH,
  type Algorithm,
  type DigestOptions,
  type Digests,
  type StreamDigests,
} from './bytes/digests.js';
export type { DigestEngine, Hasher, Platform } from './digest/engine.js';
export type { SourceTaskOptions } from './digest/source-task.js';
export type {
  CheckDocument,
  CheckedLine,
  CheckedList,
  DigestDocument,
  DigestedFile,
} from './digest/document.js';
export type { DigestRow } from './digest/digest-rows.js';
export { digest, verifySums, type DigestSourcesOptions } from './checksums.js';
export { hashWasmEngine } from './digest/hash-wasm-engine.js';
export { digestBytes, digestStream } from './digest/stream.js';
export { formatSumsLine } from './digest/sums-format.js';
export { parseSums, type SumsEntry, type SumsList, type SumsProblem } from './digest/sums-parse.js';
export type {
  Dump,
  Firmware,
  FolderCheck,
  Loadout,
  Manifest,
  ManifestSource,
  Member,
  PictureCheck,
  Requirement,
  SourceLocation,
  System,
} from './manifest/model.js';
export type { Problem, RelatedLocation, Rule, Severity } from './manifest/problem.js';
export { MAX_MANIFEST_BYTES } from './manifest/limits.js';
export type { Manifests, ManifestTaskOptions } from './manifest/manifest-of.js';
export {
  readManifests,
  type ManifestFile,
  type ManifestResult,
  type ReadOptions,
} from './manifest/read-manifests.js';
export { selectSystems } from './manifest/select-systems.js';
export { RULES } from './manifest/rules/index.js';
export { formatProblems } from './manifest/format/text.js';
export type { ProblemSources } from './manifest/format/view.js';
export {
  validationDocument,
  type ManifestHoldings,
  type ValidationDocument,
  type ValidationFault,
  type ValidationResult,
} from './manifest/format/validation-document.js';
export { sarifLog } from './manifest/format/sarif.js';
export type { ExpectedFirmware, Selection, SelectionRequest } from './manifest/selection.js';
export {
  READINESS,
  VERDICTS,
  type FirmwareVerdict,
  type Readiness,
  type Verdict,
} from './judge/verdict.js';
export type { Obstacle } from './judge/obstacles.js';
export {
  DIAGNOSES,
  type DiagnosisKind,
  type Remedy,
  type RemedyStep,
} from './diagnose/diagnosis.js';
export { draft, type DraftedManifest, type DraftOptions } from './draft/draft.js';
export type { ListFile } from './draft/draft-lists.js';
export { readList } from './draft/list/read-list.js';
export type { ListNote, ListReading, ListRow, UnusedLines } from './draft/list/model.js';
export type {
  Drafted,
  DraftedDump,
  DraftedFirmware,
  DraftedMember,
  DraftedSystem,
  DraftNote,
  LeftOut,
} from './draft/model.js';
export { identify, type IdentifyOptions } from './identify/identify-pile.js';
export {
  recognitionOf,
  type Identification,
  type IdentificationDocument,
  type IdentificationTotals,
  type Recognition,
  type RecognisedAs,
} from './identify/model.js';
export {
  pileViewOf,
  type PileRow,
  type PileSection,
  type PileSectionId,
  type PileView,
} from './identify/view.js';
export { audit, type AuditOptions, type EarlierAudit } from './audit.js';
export {
  MET,
  type Met,
  type ReadinessOptions,
  type RequirementRow,
  type SystemRow,
} from './judge/readiness.js';
export type { FolderRow } from './judge/folder-check.js';
export type {
  ByteChange,
  Comparison,
  FirmwareRow,
  ReadinessChange,
  Report,
  Stray,
  Totals,
  VerdictChange,
} from './report/model.js';
export { compareReports, type ComparisonFacts, type EarlierReport } from './report/compare.js';
export { parseReport } from './report/parse-report.js';
export { REPORT_FORMATS, renderReport, type ReportFormatName } from './report/formats/index.js';
export type { FormatOptions, ReportFormat, ReportPart } from './report/formats/format.js';
export { htmlBody } from './report/formats/html.js';
export { HTML_STYLE } from './report/formats/html-style.js';
export { viewOf, type ContentLine, type ReportView, type SystemLine } from './report/view.js';
export type { SinceView } from './report/view-since.js';
export type { ToDoGroup, ToDoItem } from './report/view-to-do.js';
export type { ToGetDump, ToGetFile, ToGetItem } from './report/view-to-get.js';
export type { Expected, ExpectedDump } from './report/expected.js';
export { CAUTIONS, MEANINGS } from './report/words.js';
export type { Hint, HintCode, HintValues } from './facts/hint.js';
export type { LeftOutCode, LeftOutReason, LeftOutValues } from './facts/left-out.js';
export type { ToGetRow } from './plan/to-get.js';
export type { Fact, FactCode, FactValues } from './facts/fact-values.js';
export type { Advice, AdviceCode, AdviceValues } from './facts/advice-values.js';
export type { ContainerStep } from './recognise/containers.js';
export type { Origin } from './recognise/origin.js';
export type { SourceFault } from './recognise/found.js';
export type { PlanOutcome, PlanTotals } from './plan/after.js';
export type { PlanDocument, ResultRow, StepOutcome } from './plan/document.js';
export type { FatCode, FatValues, FatViolation } from './text/fat.js';
export type { PlanProblem, PlanProblemCode, PlanProblemValues } from './facts/plan-problem.js';
export type { Leftover } from './plan/leftovers.js';
export type {
  CaseFixStep,
  CopyStep,
  ExtractStep,
  FolderCaseFixStep,
  KeptFile,
  PackedMember,
  PackStep,
  Plan,
  PlanSpace,
  RepairStep,
  Step,
  StepKind,
} from './plan/model.js';
export { planPlacement, type Outlook, type PlanOptions } from './plan/outlook.js';
