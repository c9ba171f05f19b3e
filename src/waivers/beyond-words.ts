import { significant } from '../kit/figures.js';
import { counted, levelNoun, unitAfter } from '../report/finding-words.js';
import type { Beyond } from './beyond.js';
import type { Judgement } from './judge-finding.js';
import type { Waiver } from './ledger.js';
import type { Subject } from './subjects.js';

/** Sentences that a finding has room for. */
const MOST = 3;

/** Why a finding fails though waivers are about it, each as a sentence; names in them are raw. */
export function beyondWords(judgement: Judgement, subject: Subject): string[] {
  const { about, by, beyond } = judgement;
  const [first] = about;
  if (by !== null || first === undefined) return [];
  // None is in force.
  if (beyond.length === 0)
    return [`The waiver at line ${first.line} was valid until ${first.until}, which is past.`];
  // The worst place and the whole can say the same.
  return [...new Set(beyond.map((each) => sentence(each, subject)))].slice(0, MOST);
}

function sentence(beyond: Beyond, { finding, vertices, cut }: Subject): string {
  if (beyond.kind === 'places') return placesSentence(beyond.waivers, beyond.paths);
  const { line, accepted } = beyond.waiver;
  const lead = `The waiver at line ${line} accepts`;
  const { unit } = finding;
  switch (beyond.kind) {
    case 'level':
      return `${lead} ${accepted === undefined ? 'no level' : levelNoun(accepted.level)}, and it is ${levelNoun(finding.level)} now.`;
    case 'unit':
      return `${lead} what was measured in ${accepted?.unit}, and it is measured in ${unit} now.`;
    case 'vertices': {
      const before = accepted?.vertices;
      return `${lead} ${before?.short} of ${before?.of} vertices, and it is ${vertices?.short} of ${vertices?.of} now.`;
    }
    case 'number':
      return `${lead} ${beyond.accepted} places, and there are ${cut} now.`;
    case 'also':
      return beyond.accepted === null
        ? `${lead} nothing in ${beyond.unit}, and it is also ${inUnit(beyond.now, beyond.unit)} now.`
        : `${lead} up to ${inUnit(beyond.accepted, beyond.unit)}, and it is also ${inUnit(beyond.now, beyond.unit)} now.`;
    case 'rules':
      return `${lead} nothing of ${beyond.rules.join(', ')}, and this finding now includes that, too.`;
    case 'measure': {
      const { path, now } = beyond;
      const bound = now < beyond.accepted ? 'no less than' : 'up to';
      const [at, there] = path === null ? ['', ''] : [` at "${path}"`, ' there'];
      return `${lead} ${bound} ${inUnit(beyond.accepted, unit)}${at}, and it is ${inUnit(now, unit)}${there} now.`;
    }
  }
}

function placesSentence(waivers: readonly Waiver[], [first = '', ...others]: string[]): string {
  const lines = waivers.slice(0, MOST).map(({ line }) => line);
  const lists =
    lines.length === 1
      ? `The waiver at line ${lines[0]} does not list`
      : `The waivers at lines ${lines.slice(0, -1).join(', ')} and ${lines.at(-1)} do not list`;
  const more = others.length > 0 ? ` and ${counted(others.length, 'more place')}` : '';
  return `${lists} "${first}"${more}.`;
}

/** A measure as the words of a finding give it. */
function inUnit(value: number, unit: string): string {
  const figures = Number.isInteger(value) ? String(value) : significant(value);
  return unit === 'degrees' ? `${figures}°` : `${figures} ${unitAfter(figures, unit)}`;
}
