/** Style of the HTML report: system fonts, light and dark, one column on a phone, black on white on paper. */
export const HTML_STYLE = `
:root { color-scheme: light dark; --back: #fff; --text: #1b1f24; --soft: #57606a; --line: #d0d7de;
  --tint: #f5f7f9; --link: #0550ae; --ready: #116329; --unproven: #744500; --not-ready: #a40e26;
  --get: #0550ae; --do: #744500; }
@media (prefers-color-scheme: dark) {
  :root { --back: #0f1318; --text: #e6edf3; --soft: #9aa4af; --line: #3a434d; --tint: #191f26;
    --link: #79b8ff; --ready: #57c26b; --unproven: #e0ad3f; --not-ready: #ff8a80;
    --get: #79b8ff; --do: #e0ad3f; }
}
.report, .report * { box-sizing: border-box; }
.report { margin: 0 auto; padding: 1rem; max-width: 64rem; background: var(--back); color: var(--text);
  font: 1rem/1.5 system-ui, sans-serif; overflow-wrap: break-word; }
.report h1 { font-size: 1.5rem; line-height: 1.25; margin: 0 0 .25rem; }
.report h2 { font-size: 1.15rem; margin: 1.75rem 0 .5rem; }
.report h3 { font-size: 1rem; margin: 0; }
.report h4 { font-size: 1rem; font-weight: 600; margin: .5rem 0 0; }
.report p { margin: .25rem 0; }
.report a { color: var(--link); }
.report a:focus-visible, .report summary:focus-visible { outline: 3px solid var(--link); outline-offset: 2px; }
.report .soft { color: var(--soft); font-weight: 400; }
.report .summary { font-weight: 600; font-size: 1.15rem; }
.report .word { white-space: nowrap; }
.report code { font-family: ui-monospace, monospace; font-size: .9em; overflow-wrap: anywhere; }
.report ul { padding-left: 1.2rem; margin: .25rem 0; }
.report li { margin: .15rem 0; }
.report summary { cursor: pointer; padding: .4rem 0; font-weight: 600; }
.report .alert { border: .15rem solid var(--not-ready); border-radius: .4rem; padding: .75rem 1rem; margin: 1rem 0; }
.report .alert h2 { margin: 0 0 .25rem; color: var(--not-ready); }
.report .alert.hint { border-style: dashed; border-color: var(--unproven); }
.report .alert.hint h2 { color: var(--unproven); }
.report nav ul { list-style: none; padding: 0; margin: .75rem 0; }
.report nav a { font-weight: 600; }
.report table { border-collapse: collapse; width: 100%; table-layout: fixed; }
.report caption { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
.report th, .report td { text-align: left; vertical-align: top; padding: .45rem .75rem .45rem 0; border-bottom: 1px solid var(--line); }
.report thead th { color: var(--soft); font-weight: 600; }
.report thead th:nth-child(1) { width: 26%; } .report thead th:nth-child(2) { width: 9.5rem; }
.report thead th:nth-child(3), .report thead th:nth-child(4) { width: 6rem; }
.report .status { display: inline-block; font-weight: 600; white-space: nowrap; border-radius: 1rem; padding: 0 .6rem;
  border: 2px solid currentColor; }
.report .ready { color: var(--ready); border-color: transparent; padding: 0; }
.report .ready::before { content: "\\2713\\00a0" / ""; }
.report .unproven { color: var(--unproven); border-style: dashed; }
.report .unproven::before { content: "?\\00a0" / ""; }
.report .not-ready { color: var(--back); background: var(--not-ready); border-color: var(--not-ready); }
.report .not-ready::before { content: "\\2717\\00a0" / ""; }
.report .task, .report .entry { border: 1px solid var(--line); border-radius: .4rem; padding: .6rem .8rem; min-width: 0; }
.report .task { background: var(--tint); border-left: .35rem solid var(--do); }
.report .task.get { border-left-color: var(--get); }
.report .task.optional { border-left-color: var(--line); }
.report .task:target { outline: 3px solid var(--link); }
.report .soft + .cards { margin-top: .5rem; }
.report .cards { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(100%, 27rem), 1fr)); gap: .75rem; }
.report dl { margin: .35rem 0 0; display: grid; grid-template-columns: minmax(6rem, max-content) minmax(0, 1fr); gap: .1rem .75rem; }
.report dl > div { display: contents; }
.report dl + p { margin-top: .75rem; }
.report .do dl + dl { margin-top: .6rem; padding-top: .5rem; border-top: 1px dashed var(--line); }
.report dt { color: var(--soft); max-width: 11rem; } .report dd { margin: 0; min-width: 0; }
.report td a { display: inline-block; max-width: 100%; margin-right: .5rem; }
.report .legend { font-size: .9rem; margin: .75rem 0; }
.report footer { margin-top: 2rem; color: var(--soft); font-size: .875rem; }
@media screen and (max-width: 44rem) {
  .report table, .report tbody, .report tr, .report tbody th, .report td { display: block; width: auto; }
  .report thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  .report tr { border-bottom: 1px solid var(--line); padding: .6rem 0; }
  .report tbody th, .report td { border: 0; padding: .1rem 0; }
  .report td.none { display: none; }
  .report td.count { display: inline-block; margin-right: 1rem; }
  .report td + td[data-label]::before { content: attr(data-label) ": "; color: var(--soft); }
}
@media print, (max-width: 44rem) {
  .report dl, .report dl > div { display: block; }
  .report dl > div { margin: .2rem 0; }
  .report dt, .report dd { display: inline; max-width: none; }
  .report dt::after { content: ":"; }
}
@media print {
  :root { color-scheme: light; --back: #fff; --text: #000; --soft: #333; --line: #999; --tint: #fff; --link: #000;
    --ready: #000; --unproven: #000; --not-ready: #000; --get: #000; --do: #000; }
  .report { max-width: none; padding: 0; font-size: 10pt; }
  .report nav { display: none; }
  .report .cards { grid-template-columns: 1fr 1fr; gap: .5rem; }
  .report h3, .report h4 { font-size: 10pt; }
  .report thead th:nth-child(1) { width: 20%; } .report thead th:nth-child(2) { width: 8.5rem; }
  .report thead th:nth-child(3), .report thead th:nth-child(4) { width: 5.75rem; }
  .report .task, .report .entry, .report tr { break-inside: avoid; }
  .report h2, .report h3 { break-after: avoid; }
  .report details::details-content { content-visibility: visible; }
  .report .not-ready { color: #000; background: none; border-style: double; }
}
`.trim();
