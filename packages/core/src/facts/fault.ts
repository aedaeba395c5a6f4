import type { EntryKind, Fault, LinkFault, Listed } from '../bytes/source.js';

/** Why an entry that is no readable file cannot be read. */
export function unreadableFault({ path, kind, link }: Listed): Fault {
  if (kind !== 'link') {
    return { path, code: 'not-a-file', message: kind === 'file' ? '' : NOT_REGULAR[kind] };
  }
  const code = link?.fault ?? 'broken-link';
  return { path, code, message: LINK_FAULT[code] };
}

const NOT_REGULAR: Readonly<Record<Exclude<EntryKind, 'file' | 'link'>, string>> = {
  folder: 'it is a folder, not a file',
  fifo: 'it is a named pipe, not a file',
  socket: 'it is a socket, not a file',
  device: 'it is a device, not a file',
  unknown: 'it is not a regular file',
};

const LINK_FAULT: Readonly<Record<LinkFault, string>> = {
  'outside-root': 'this link leads out of the root',
  'broken-link': 'this link leads nowhere',
  'not-a-file': 'this link does not lead to a file',
  'permission-denied': 'no permission to follow this link',
  'io-error': 'the system failed to follow this link',
};
