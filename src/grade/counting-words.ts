import type { Grading } from '../standard/grading.js';
import { ALL, type Share, without } from '../standard/share.js';
import type { Rubric } from './rubric.js';
import { showWorth } from './tenths.js';

/** How points are counted, for the end of every feedback. */
export function countingWords({ grading, whole }: Rubric, files: number): string {
  const { warnings, notes, error, unsound } = grading;
  const most = Math.floor(whole * unsound.value) / 10;
  const sentences = [
    `A family loses a share of its points by the number of joints at fault: ${bandWords(grading)}.`,
    error.value > 0 && `If any of them has an error, it loses ${error.text} more.`,
    weightWords('a warning and no error', warnings),
    warnings.value > 0 && warnings.value < 1 && mixedWords(grading),
    weightWords('notes only', notes),
    'A joint counts once in a family, however many rules find it at fault. A mesh, a skin, a rig or a file at fault counts as a joint does.',
    'What is only the result of another fault costs nothing.',
    'The points of a family are rounded once, to one decimal, and then added.',
    unsound.value < 1 &&
      `An unsound rig keeps ${unsound.text} of its points, so it gets ${most} of ${showWorth(whole)} at most.`,
    files > 1 && SEVERAL_FILES,
  ];
  return sentences.filter(Boolean).join(' ');
}

const SEVERAL_FILES =
  'With several files, each family counts in the file where it loses most. What was found in the other files costs nothing more.';

/** `1 to 4 cost 1/3, 5 or more cost 2/3`. */
function bandWords({ bands }: Grading): string {
  const each = bands.map(({ from, costs }, at) => {
    const last = (bands[at + 1]?.from ?? Infinity) - 1;
    const range =
      last === Infinity ? `${from} or more` : last === from ? from : `${from} to ${last}`;
    return `${range} cost ${costs.text}`;
  });
  return each.join(', ');
}

function weightWords(whose: string, { value, text }: Share): string | false {
  if (value === 1) return false;
  const counts = value === 0 ? 'costs nothing' : `counts ${text}`;
  return `A joint with ${whose} ${counts}.`;
}

/** What happens where errors and warnings are in different bands, as an example. */
function mixedWords({ bands, warnings }: Grading): string | false {
  const many = bands.at(-1)?.from ?? 1;
  if (many < 2) return false;
  const rest = without(ALL, warnings);
  return `So with ${many} joints at fault, 1 of them with an error, it loses ${warnings.text} of what ${many} cost and ${rest.text} of what 1 costs.`;
}
