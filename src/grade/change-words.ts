import type { Settings } from '../check/settings.js';
import { counted } from '../report/finding-words.js';
import { codeName, sentenceText } from '../report/markdown-text.js';
import { groupBy } from '../rig/group-by.js';
import { firstOf } from './class-words.js';
import { type FaultChanges, isChanged, lastName, placesIn, withoutNotes } from './fault-changes.js';
import type { RuleFaults } from './older/older-marks.js';

/** Places of one rule that are named, and rules that are listed. */
const [PLACES, RULES] = [5, 12];

/** What became of the things of one kind. */
interface Tally {
  readonly noun: 'fault' | 'note' | 'finding';
  readonly gone: number;
  readonly fresh: number;
  /** How many are of the other kind now. */
  readonly turned: number;
  readonly still: number;
}

/**
 * What became of all that was found, in a few sentences: faults, and notes apart.
 *
 * @param isSame Whether the files are the same: then nobody mended anything, and nothing is new.
 */
export function changesLead(changes: FaultChanges, isSame: boolean): string {
  const { mended, added, eased, graver, still } = changes;
  if (!isChanged(changes))
    return sameWords([
      { noun: 'fault', still: still.faults },
      { noun: 'note', still: still.notes },
    ]);
  // Older grades do not say which were notes.
  const isKnown = mended.every(({ note }) => note !== undefined);
  const notesIn = (found: readonly RuleFaults[]): number =>
    placesIn(found) - placesIn(withoutNotes(found));
  const [gone, fresh] = [placesIn(mended), placesIn(added)];
  const [goneNotes, freshNotes] = [notesIn(mended), notesIn(added)];
  const tallies: readonly Tally[] = isKnown
    ? [
        {
          ...{ noun: 'fault', gone: gone - goneNotes, fresh: fresh - freshNotes },
          ...{ turned: placesIn(eased), still: still.faults },
        },
        {
          ...{ noun: 'note', gone: goneNotes, fresh: freshNotes },
          ...{ turned: placesIn(graver), still: still.notes },
        },
      ]
    : [{ noun: 'finding', gone, fresh, turned: 0, still: still.faults + still.notes }];
  return tallies
    .map((tally) => tallyWords(tally, isSame))
    .filter(Boolean)
    .join(' ');
}

function sameWords(kinds: readonly Pick<Tally, 'noun' | 'still'>[]): string {
  const some = kinds.filter(({ still }) => still > 0);
  const parts = some.map(({ noun, still }) => counted(still, noun));
  return parts.length === 0 ? '' : `The same ${parts.join(' and ')} as last time.`;
}

function tallyWords(tally: Tally, isSame: boolean): string {
  const { noun, gone, fresh, turned, still } = tally;
  if (gone + fresh + turned === 0) return sameWords([tally]);
  const [start, mended, other] = {
    fault: ['Faults', 'mended', 'notes'],
    note: ['Notes', 'gone', 'faults'],
    finding: ['Findings', 'mended', ''],
  }[noun];
  const [was, is] = isSame ? ['no longer found', 'Now found'] : [mended, 'New'];
  const change = turned === 0 ? '' : ` Now ${other}: ${turned}.`;
  return `${start} ${was}: ${gone}. ${is}: ${fresh}.${change} Still there: ${still}.`;
}

/** A line of a list for each rule that found something no longer, or only now, or at another level. */
export function changeLines(
  { mended, added, eased, graver }: FaultChanges,
  isSame: boolean,
  settings: Settings,
): string[] {
  const isNote = ({ note }: RuleFaults): boolean => note === true;
  const words = isSame
    ? ['No longer found', 'Now found', 'Note no longer found', 'Note now found']
    : ['Mended', 'New', 'Note gone', 'New note'];
  const [gone = '', fresh = '', goneNote = '', freshNote = ''] = words;
  return [
    ...linesOf(gone, withoutNotes(mended), settings),
    ...linesOf(fresh, withoutNotes(added), settings),
    ...linesOf('A note now', eased, settings),
    ...linesOf('A fault now', graver, settings),
    ...linesOf(goneNote, mended.filter(isNote), settings),
    ...linesOf(freshNote, added.filter(isNote), settings),
  ];
}

function linesOf(what: string, changed: readonly RuleFaults[], settings: Settings): string[] {
  const lines = changed
    .slice(0, RULES)
    .map((each) => `- **${what}**: ${faultWords(each, settings)}`);
  const more = changed.length - lines.length;
  return more > 0 ? [...lines, `- **${what}**: ${counted(more, 'more rule')}`] : lines;
}

/** `a joint rolled away (axis.up), 3 places: a, b and c`, as Markdown. */
function faultWords({ rule, at, rigs }: RuleFaults, { known }: Settings): string {
  const title = known.find(({ id }) => id === rule)?.title;
  const name = title === undefined ? codeName(rule) : `${sentenceText(title)} (${codeName(rule)})`;
  const spots = at.map((place, index) => ({ name: lastName(place), rig: rigs?.[index] }));
  const byName = groupBy(
    spots.filter((spot) => spot.name !== ''),
    (spot) => spot.name,
  );
  const places = [...byName].map(([own, same]) => {
    const many = new Set(same.flatMap(({ rig }) => rig ?? [])).size;
    return `${codeName(own)}${timesWords(same.length, many)}`;
  });
  const times = at.length > 1 ? `, ${at.length} places` : '';
  return places.length === 0 ? `${name}${times}` : `${name}${times}: ${firstOf(places, PLACES)}`;
}

/** How often a name is there: ` (4 rigs)`, ` (2 places)` in one rig, ` (5 places in 4 rigs)`; empty for once. */
function timesWords(places: number, rigs: number): string {
  if (places === 1) return '';
  if (rigs <= 1) return ` (${places} places)`;
  return places === rigs ? ` (${rigs} rigs)` : ` (${places} places in ${rigs} rigs)`;
}
