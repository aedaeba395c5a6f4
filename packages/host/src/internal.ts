/**
 * What the project's own packages, tests and benchmarks use of each other.
 * No promise is made of anything here: it changes without notice in any version.
 */
export { createDigester, defaultJobs } from './digest/digester.js';
export { nativeEngine } from './digest/native-engine.js';
export { zipReader } from './archive/zip-reader.js';
export { fileAccess } from './archive/random-access.js';
export { withSlashes } from './folder/with-slashes.js';
export { namedFiles } from './folder/named-files.js';
export { openCard } from './place/card-fs.js';
export { earlierReport, MAX_REPORT_BYTES } from './audit/earlier-report.js';
export { patientRename } from './place/patient-rename.js';
