export { createDigester, type DigesterOptions } from './digest/digester.js';
export { nativeEngine } from './digest/native-engine.js';
export { fileAccess } from './archive/random-access.js';
export { zipReader } from './archive/zip-reader.js';
export { namedFiles } from './folder/named-files.js';
export { openFolder, type HostFiles, type HostFolder } from './folder/open-folder.js';
