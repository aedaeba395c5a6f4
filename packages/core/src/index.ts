export { SCHEMA_NAMES, schemaText, type SchemaName } from './schemas.js';
export { compareUtf8 } from './text/order.js';
export { escapeText } from './text/escape.js';
export { jsonText } from './text/json-text.js';
export { graphemes } from './text/graphemes.js';
export { sentence } from './text/sentence.js';
export { eachLimited } from './each-limited.js';
export { keptFor } from './plan/kept-path.js';
export { baseName, folderOf, foldersAbove, joinPath } from './text/path.js';
export { foldCase } from './text/fold.js';
export { decodeWritten } from './text/decode.js';
export { nearestName } from './text/nearest.js';
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
  type RandomAccess,
} from './bytes/source.js';
export type { Archive, ArchiveMember, ArchiveReader, GunzipFailure } from './bytes/archive.js';
export { decodeName, encodeName, hasUndecodableBytes } from './bytes/names.js';
export { ArchiveBudget, withBudget, type ArchiveLimits } from './bytes/archive-budget.js';
export { abortable, onAbort, orAborted } from './bytes/abort.js';
export { checkedContent } from './bytes/checked-source.js';
export { checkedDigester, checkedDigestStream } from './digest/checked-digester.js';
export { collect } from './bytes/collect.js';
export {
  ProgressCount,
  type OnProgress,
  type TaskPhase,
  type TaskProgress,
} from './bytes/progress.js';
export { memoryAccess } from './bytes/memory.js';
export {
  ALGORITHMS,
  DIGEST_LENGTH,
  sortAlgorithms,
  type Algorithm,
  type DigestEngine,
  type DigestOptions,
  type Digests,
  type DigestStream,
  type FileDigester,
  type Hasher,
  type StreamDigests,
} from './digest/engine.js';
export {
  checkDocument,
  digestDocument,
  digestedFile,
  type CheckDocument,
  type CheckedLine,
  type CheckedList,
  type DigestDocument,
  type DigestedFile,
} from './digest/document.js';
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
export type { Problem, RelatedLocation, Severity } from './manifest/problem.js';
export { MAX_MANIFEST_BYTES, MAX_PROBLEMS } from './manifest/limits.js';
export {
  readManifests,
  type ManifestFile,
  type ManifestResult,
  type ReadOptions,
} from './manifest/read-manifests.js';
export { isPresenceOnly, isSizeOnly } from './manifest/model.js';
export { dumpName } from './manifest/dump-name.js';
export { systemsByFirmware } from './manifest/users.js';
export { selectSystems } from './manifest/select-systems.js';
export { RULES } from './manifest/rules/index.js';
export type { Rule } from './manifest/rules/rule.js';
export type { ProblemStyle } from './manifest/format/fill.js';
export { formatProblems, type ProblemTextOptions } from './manifest/format/text.js';
export {
  manifestHoldings,
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
  type Diagnosis,
  type DiagnosisKind,
  type Remedy,
  type RemedyStep,
} from './diagnose/diagnosis.js';
export { adviceForDiagnosis, adviceForVerdict } from './diagnose/advice.js';
export { applyRemedy } from './diagnose/apply-remedy.js';
export { DETECTORS, diagnoseFile, type DiagnoseFileInput } from './diagnose/diagnose-file.js';
export type { DetectorInfo } from './diagnose/subject.js';
export { DIAGNOSIS_LIMITS, type DiagnosisLimits } from './diagnose/limits.js';
export type { DigestBytes } from './diagnose/proof.js';
export { draftFiles, type DraftFilesOptions, type DraftSource } from './draft/draft-folder.js';
export { draftLists, type ListFile } from './draft/draft-lists.js';
export { readList } from './draft/list/read-list.js';
export type { ListNote, ListReading, ListRow, UnusedLines } from './draft/list/model.js';
export type {
  Drafted,
  DraftedDump,
  DraftedFirmware,
  DraftedMember,
  DraftedSystem,
  DraftNote,
  DraftOptions,
  LeftOut,
} from './draft/model.js';
export { renderDraftJson, renderDraftYaml } from './draft/render-draft.js';
export {
  intoOption,
  writeDraft,
  type IntoManifest,
  type WriteDraftOptions,
} from './draft/write-draft.js';
export { DumpIndex, type DumpMatch } from './recognise/dump-index.js';
export { identifyPile, type IdentifyPileInput } from './identify/identify-pile.js';
export {
  contentOf,
  examineFound,
  type ExamineInput,
  type Examination,
  type Examined,
} from './identify/examine.js';
export { PILE_LIMITS } from './identify/limits.js';
export {
  recognitionOf,
  type Identification,
  type IdentificationDocument,
  type IdentificationTotals,
  type PileSource,
  type Recognition,
  type RecognisedAs,
} from './identify/model.js';
export { audit, auditWithInventory, type AuditInput, type AuditResult } from './audit.js';
export { judgeFirmware, type JudgeInput, type Judgement } from './judge/judge-firmware.js';
export {
  judgeReadiness,
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
export {
  REPORT_PARTS,
  type FormatOptions,
  type ReportFormat,
  type ReportPart,
} from './report/formats/format.js';
export { htmlBody } from './report/formats/html.js';
export { HTML_STYLE } from './report/formats/html-style.js';
export { viewOf, type ContentLine, type ReportView, type SystemLine } from './report/view.js';
export type { SinceView } from './report/view-since.js';
export type { ToDoGroup, ToDoItem } from './report/view-to-do.js';
export { expectedOf } from './report/expected.js';
export { toGetOf } from './report/view-to-get.js';
export type { ToGetDump, ToGetFile, ToGetItem } from './report/view-to-get.js';
export { dumpNameOf, type Expected, type ExpectedDump } from './report/expected.js';
export {
  ALGORITHM_NAMES,
  CAUTIONS,
  count,
  HEADINGS,
  MEANINGS,
  readySystems,
  verdictWords,
} from './report/words.js';
export { hint, type Hint, type HintCode, type HintValues } from './facts/hint.js';
export { hintsFor, type HintInput } from './judge/hints.js';
export {
  canBePutRightOnCard,
  idsOf,
  toGet,
  type ToGetInput,
  type ToGetRow,
} from './plan/to-get.js';
export { buildInventory, buildListing, Inventory, Listing } from './inventory/inventory.js';
export { isDump, matchDump } from './recognise/dumps.js';
export { KnownDumps } from './recognise/known-dumps.js';
export { fact } from './facts/fact.js';
export type { Fact, FactCode, FactValues } from './facts/fact-values.js';
export { advice } from './facts/advice.js';
export type { Advice, AdviceCode, AdviceValues } from './facts/advice-values.js';
export { openInside, type ContainerStep } from './recognise/containers.js';
export type { Origin } from './recognise/origin.js';
export {
  searchSources,
  type Found,
  type SearchedSource,
  type SearchInput,
  type SearchResult,
  type SourceFault,
} from './recognise/search.js';
export { RECOGNISE_LIMITS } from './recognise/limits.js';
export type { MatchedMember } from './recognise/known-dumps.js';
export type { PlanOutcome, PlanTotals } from './plan/after.js';
export type { Candidate, CandidateUse, MemberUse } from './plan/candidate.js';
export {
  planDocument,
  type PlanDocument,
  type PlanDocumentInput,
  type ResultRow,
} from './plan/document.js';
export { isSettled, noneNotReady, type PlanOutlook } from './plan/settled.js';
export {
  checkFatName,
  checkFatPath,
  FAT_MAX_FILE_SIZE,
  FAT_MAX_NAME,
  FAT_MAX_PATH,
  type FatRule,
  type FatViolation,
} from './text/fat.js';
export {
  findCandidates,
  type FindCandidatesInput,
  type FoundCandidates,
} from './plan/find-candidates.js';
export { findLeftovers, halfFixedName, temporaryName, type Leftover } from './plan/leftovers.js';
export {
  type CaseFixStep,
  type CopyStep,
  type ExtractStep,
  type FolderCaseFixStep,
  type KeptFile,
  type PackedMember,
  type PackStep,
  type Plan,
  type PlanProblem,
  type PlanSpace,
  type RepairStep,
  type Step,
  type StepKind,
} from './plan/model.js';
export { planPlacement, type PlanInput } from './plan/plan.js';
export { KEPT_FOLDER } from './inventory/kept-folder.js';
export { findNamesakes, type ListedFiles } from './plan/namesakes.js';
export { protectedPaths, type ProtectedPaths } from './plan/protected-paths.js';
export { clustersOfFile, clustersOfFolder, parseClusterSize } from './plan/space.js';
export { isLikelyOnCard, rivalsOf, unresolved } from './plan/unresolved.js';
