import { contentPath, entryAccess } from '../bytes/entry-content.js';
import type { ContentSource, Entry } from '../bytes/source.js';
import { naming } from '../digest/platform-failure.js';
import type { Firmware } from '../manifest/model.js';
import {
  readZip,
  WantedMembers,
  type ZipContents,
  type ZipPlatform,
} from '../recognise/members.js';

/** ZIPs read for a judgement, each at most once, whatever the number of entries that look at it. */
export class ZipFiles {
  readonly #folder: ContentSource;
  readonly #platform: ZipPlatform;
  readonly #wanted: WantedMembers;
  readonly #known = new Map<string, Promise<ZipContents>>();

  constructor(firmware: Iterable<Firmware>, folder: ContentSource, platform: ZipPlatform) {
    this.#folder = folder;
    this.#platform = platform;
    this.#wanted = new WantedMembers(firmware);
  }

  /** Throws ReadError, `bad-archive` for what is no ZIP; asking again gives the same without reading again. */
  of(entry: Entry): Promise<ZipContents> {
    const path = contentPath(entry);
    const known = this.#known.get(path);
    if (known !== undefined) return known;
    const reading = naming(
      path,
      readZip(entryAccess(this.#folder, entry), this.#platform, (member) =>
        this.#wanted.algorithmsFor(member),
      ),
    );
    this.#known.set(path, reading);
    return reading;
  }

  /** Lets go of what is not asked for again. */
  forget(entry: Entry): void {
    this.#known.delete(contentPath(entry));
  }
}
