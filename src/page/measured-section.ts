import { passedWords } from '../report/finding-words.js';
import type { AssetReport, MeasuredReport, RigReport } from '../report/report-types.js';
import { nameText, text } from './markup.js';

/** What every rule was measured on, so that silence is not taken for a rule that did not run. */
export function measuredSection(asset: AssetReport): string {
  return `<section id="measured" aria-labelledby="measured-title">
<h2 id="measured-title">What was measured</h2>
${asset.rigs.map(rigTable).join('\n')}
</section>`;
}

function rigTable({ name, measured }: RigReport): string {
  const rows = measured.map(
    (item) => `<tr><th scope="row"><code>${item.rule}</code></th><td>${text(held(item))}</td></tr>`,
  );
  return `<details class="measured"><summary>${nameText(name)}: ${measured.length} rules</summary>
<table><thead><tr><th scope="col">Rule</th><th scope="col">Passed on</th></tr></thead><tbody>
${rows.join('\n')}
</tbody></table>
<p class="aside">A fault counts once, for the rule that reports it. What is only a result of it does not count against other rules.</p></details>`;
}

function held(item: MeasuredReport): string {
  if (item.kind === 'not applicable') return `not applicable: ${item.because}`;
  return passedWords(item);
}
