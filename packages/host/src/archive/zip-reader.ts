import { ReadError, type ArchiveReader } from '@firmtally/core';
import { mayBeZip } from './end-record.js';
import { gunzip } from './gunzip.js';

/** ZIP archives through yauzl, gzip through zlib. Nothing is ever extracted to disk, so hostile names are only names. */
export const zipReader: ArchiveReader = {
  open: async (bytes) => {
    if (!(await mayBeZip(bytes))) {
      throw new ReadError(
        'bad-archive',
        'not a ZIP that can be read: it has no end of central directory record',
      );
    }
    // Loaded with the first archive: most runs meet none.
    const { openZip } = await import('./open-zip.js');
    return openZip(bytes);
  },
  gunzip,
};
