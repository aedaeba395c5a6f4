/** Style of the HTML report: system fonts, light and dark, one column on a phone. */
export const HTML_STYLE = `
:root { color-scheme: light dark; --back: #fff; --text: #1b1f24; --soft: #57606a; --line: #d0d7de;
  --ready: #116329; --unproven: #7d4e00; --not-ready: #b3141d; --tint: #f3f5f7; }
@media (prefers-color-scheme: dark) {
  :root { --back: #0f1318; --text: #e6edf3; --soft: #9aa4af; --line: #343c45;
    --ready: #57c26b; --unproven: #e0ad3f; --not-ready: #ff8a80; --tint: #191f26; }
}
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1rem; max-width: 64rem; background: var(--back); color: var(--text);
  font: 1rem/1.5 system-ui, sans-serif; overflow-wrap: anywhere; }
h1 { font-size: 1.4rem; line-height: 1.25; margin: 0 0 .25rem; }
h2 { font-size: 1.1rem; margin: 1.75rem 0 .5rem; }
h3 { font-size: 1rem; margin: 0; }
p { margin: .25rem 0; }
.soft { color: var(--soft); }
.summary { font-weight: 600; font-size: 1.1rem; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .4rem .75rem .4rem 0; border-bottom: 1px solid var(--line); }
th { color: var(--soft); font-weight: 600; white-space: nowrap; }
td:first-child { font-weight: 600; }
.status { font-weight: 600; white-space: nowrap; }
.ready { color: var(--ready); } .unproven { color: var(--unproven); } .not-ready { color: var(--not-ready); }
.task { border: 1px solid var(--line); border-left: .3rem solid var(--not-ready); border-radius: .3rem;
  padding: .6rem .8rem; margin: .6rem 0; background: var(--tint); }
.task.optional { border-left-color: var(--line); }
dl { margin: .35rem 0 0; display: grid; grid-template-columns: max-content 1fr; gap: .1rem .75rem; }
dt { color: var(--soft); } dd { margin: 0; min-width: 0; }
code { font-family: ui-monospace, monospace; font-size: .9em; }
ul { padding-left: 1.2rem; margin: .25rem 0; }
summary { cursor: pointer; font-weight: 600; margin-top: 1.75rem; }
footer { margin-top: 2rem; padding-top: .75rem; border-top: 1px solid var(--line); color: var(--soft); font-size: .9rem; }
@media (max-width: 40rem) {
  table, tbody, tr, td, caption { display: block; } thead { display: none; }
  tr { border-bottom: 1px solid var(--line); padding: .5rem 0; }
  td { border: 0; padding: .1rem 0; } td:empty { display: none; }
  td + td[data-label]::before { content: attr(data-label) ": "; color: var(--soft); font-weight: 400; }
}
@media print { body { max-width: none; } .task { break-inside: avoid; } }
`.trim();
