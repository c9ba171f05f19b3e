import type { CheckResult } from '../../batch/task.js';
import { animalName, animalNamer, animalsOf } from '../../grade/handing-in/apart.js';
import { againstModel, missingAmong } from '../../grade/model/against-model.js';
import { markSubmission } from '../../grade/submission.js';
import { brief } from '../../house/house-file.js';
import type { Submission } from './class-entries.js';
import type { CheckedRig, Grading, Piece, Term } from './grading.js';

/** What of a submission is marked as one: all of it, or each of its animals. */
export function piecesOf(
  submission: Submission,
  checked: readonly CheckResult[],
  grading: Grading,
  term: Term,
): Piece[] {
  const { rubric, settings, submissions } = grading;
  if (submissions?.apart === true && checked.length > 0)
    return apartPieces(submission, checked, grading, term);
  const { name, reason } = submission;
  const reports = checked.map(({ report }) => report);
  const against = againstModel(reports, likesOf(checked));
  const whole = checked.map(
    ({ report, pictures }): CheckedRig => ({ report, whole: report, pictures, rig: null }),
  );
  const marked = markSubmission(name, reports, reason, rubric, settings, against);
  return [{ marked, checked: whole }];
}

function likesOf(checked: readonly CheckResult[]) {
  return checked.map(({ like = null }) => like);
}

/** Each animal by itself, and then each of the model that was not handed in, for a person to look at. */
function apartPieces(
  { name, list }: Submission,
  checked: readonly CheckResult[],
  { rubric, settings }: Grading,
  { anonymous }: Term,
): Piece[] {
  const reports = checked.map(({ report }) => report);
  const nameOf = animalNamer(anonymous);
  const animals = animalsOf(reports, settings.failing, nameOf);
  // A file with one rig has the name that it was handed in by.
  const isWhole = animals.length === 1 && !list.some(({ shown }) => shown.startsWith(`${name}/`));
  const pieces = animals.flatMap(({ name: animal, asset, at, rig }): Piece[] => {
    const result = checked[at];
    if (result === undefined) return [];
    const against = againstModel([asset], [result.like ?? null], rig);
    const own = isWhole ? name : animalName(name, animal);
    const marked = markSubmission(own, [asset], null, rubric, settings, against);
    const { report: whole, pictures } = result;
    return [{ marked, checked: [{ report: asset, whole, pictures, rig }] }];
  });
  const whole = againstModel(reports, likesOf(checked));
  const missing = missingAmong(
    whole,
    pieces.map(({ marked }) => marked.against),
  ).map((rig): Piece => {
    const reason = `the rig "${brief(rig.name)}" of ${whole?.model ?? 'the model'} was not handed in: no rig of this submission has its mesh`;
    const marked = markSubmission(animalName(name, nameOf(rig.name)), [], reason, rubric, settings);
    return { marked, checked: [] };
  });
  return [...pieces, ...missing];
}
