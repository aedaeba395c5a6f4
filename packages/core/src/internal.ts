/**
 * What the project's own packages, tests and benchmarks use of each other.
 * No promise is made of anything here: it changes without notice in any version.
 */
export { graphemes } from './text/graphemes.js';
export { keptFor } from './plan/kept-path.js';
export { baseName, folderOf, foldersAbove, joinPath } from './text/path.js';
export { foldCase } from './text/fold.js';
export { decodeWritten } from './text/decode.js';
export { nearestName } from './text/nearest.js';
export { hasUndecodableBytes } from './bytes/names.js';
export { ArchiveBudget, withBudget } from './bytes/archive-budget.js';
export { Turns } from './bytes/turns.js';
export { abortable, onAbort, orAborted } from './bytes/abort.js';
export { checkedContent, checkedPlatform } from './digest/checked.js';
export { ProgressCount } from './bytes/progress.js';
export { collect } from './bytes/collect.js';
export { ALGORITHM_NAMES, sortAlgorithms } from './bytes/digests.js';
export { checkLists, listedFiles, type ListedFile, type ReadSums } from './digest/check-lists.js';
export { digestRows, USUAL_ALGORITHMS, type WantedFile } from './digest/digest-rows.js';
export { digestDocument, digestedFile } from './digest/document.js';
export { MAX_PROBLEMS } from './manifest/limits.js';
export { isPresenceOnly, isSizeOnly } from './manifest/model.js';
export { dumpName } from './manifest/dump-name.js';
export { systemsByFirmware } from './manifest/users.js';
export { fitFrame, type ProblemFrame } from './manifest/format/frame.js';
export { moreText } from './manifest/format/text.js';
export { viewProblems, type ProblemView } from './manifest/format/view.js';
export { manifestHoldings } from './manifest/format/validation-document.js';
export { adviceForDiagnosis, adviceForVerdict } from './diagnose/advice.js';
export { applyRemedy } from './diagnose/apply-remedy.js';
export { DETECTORS, diagnoseFile } from './diagnose/diagnose-file.js';
export { DIAGNOSIS_LIMITS, type DiagnosisLimits } from './diagnose/limits.js';
export { remarksOf } from './draft/remarks.js';
export { renderDraftJson, renderDraftYaml } from './draft/render-draft.js';
export { draftFiles } from './draft/draft-folder.js';
export { draftLists } from './draft/draft-lists.js';
export { intoOption, writeDraft } from './draft/write-draft.js';
export { DumpIndex } from './recognise/dump-index.js';
export { contentOf, examineFound } from './identify/examine.js';
export { PILE_LIMITS } from './identify/limits.js';
export { judgeFirmware, type Judgement } from './judge/judge-firmware.js';
export { judgeReadiness } from './judge/readiness.js';
export { REPORT_PARTS } from './report/formats/format.js';
export {
  breakable,
  breakablePath,
  escaped,
  factList,
  firstBlocks,
  firstFacts,
  firstTexts,
  type HtmlFact,
} from './report/formats/html-text.js';
export { expectedOf } from './report/expected.js';
export { toGetOf } from './report/view-to-get.js';
export { dumpNameOf } from './report/expected.js';
export { HEADINGS, readySystems, tooFewFiles, verdictWords } from './report/words.js';
export { byteCount, count } from './text/count.js';
export { hint } from './facts/hint.js';
export { hintsFor } from './judge/hints.js';
export { canBePutRightOnCard, idsOf, toGet } from './plan/to-get.js';
export { buildInventory, buildListing } from './inventory/build-inventory.js';
export { Inventory, Listing } from './inventory/inventory.js';
export { isDump, matchDump } from './recognise/dumps.js';
export { manifestOf } from './manifest/manifest-of.js';
export { selectSome } from './manifest/select-systems.js';
export { KnownDumps } from './recognise/known-dumps.js';
export { fact } from './facts/fact.js';
export { advice } from './facts/advice.js';
export { openInside } from './recognise/containers.js';
export { placeInside } from './recognise/origin.js';
export { searchSources } from './recognise/search.js';
export { RECOGNISE_LIMITS } from './recognise/limits.js';
export { planDocument } from './plan/document.js';
export { isSettled, noneNotReady } from './plan/settled.js';
export {
  checkFatName,
  checkFatPath,
  FAT_MAX_FILE_SIZE,
  FAT_MAX_NAME,
  FAT_MAX_PATH,
} from './text/fat.js';
export { findCandidates } from './plan/find-candidates.js';
export { findLeftovers, halfFixedName, temporaryName } from './plan/leftovers.js';
export { outlook } from './plan/outlook.js';
export { Pile, type OriginFile } from './plan/pile.js';
export { planSteps } from './plan/plan.js';
export { KEPT_FOLDER } from './inventory/kept-folder.js';
export { findNamesakes } from './plan/namesakes.js';
export { protectedPaths } from './plan/protected-paths.js';
export { clustersOfFile, clustersOfFolder, parseClusterSize } from './plan/space.js';
export { isLikelyOnCard, rivalsOf, unresolved } from './plan/unresolved.js';
export type { Diagnosis } from './diagnose/diagnosis.js';
export type { SearchResult } from './recognise/found.js';
