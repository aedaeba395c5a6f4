import type { ArchiveReader } from '@firmtally/core';

/** ZIP archives through yauzl. Nothing is ever extracted to disk, so hostile names are only names. */
export const zipReader: ArchiveReader = {
  open: async (bytes) => {
    // Loaded with the first archive: most runs meet none.
    const { openZip } = await import('./open-zip.js');
    return openZip(bytes);
  },
};
