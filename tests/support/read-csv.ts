/** A strict reader of RFC 4180, section 2: CRLF after every record, quotes doubled inside quotes. */
export function readCsv(text: string): string[][] {
  const records: string[][] = [];
  let at = 0;
  while (at < text.length) {
    const record: string[] = [];
    for (;;) {
      let field = '';
      if (text[at] === '"') {
        at++;
        while (text[at] !== '"' || text[at + 1] === '"') {
          if (at >= text.length) throw new Error('a quote that is not closed');
          if (text[at] === '"') at++;
          field += text[at++] ?? '';
        }
        at++;
      } else {
        while (at < text.length && !/[,"\r\n]/.test(text[at] ?? '')) field += text[at++] ?? '';
      }
      record.push(field);
      if (text[at] !== ',') break;
      at++;
    }
    if (text.slice(at, at + 2) !== '\r\n') throw new Error(`no CRLF at ${String(at)}`);
    at += 2;
    records.push(record);
  }
  return records;
}
