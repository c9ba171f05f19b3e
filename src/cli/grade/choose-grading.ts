import { FIT } from '../../grade/grade-assets.js';
import { HANDBOOK } from '../../grade/grades-folder.js';
import { rubricOf } from '../../grade/rubric.js';
import { entryAddress } from '../../report/handbook-link.js';
import type { Io } from '../io.js';
import { handbookPlace } from '../output/handbook-place.js';
import { handbookOf, hasHandbook } from '../rules/handbook-file.js';
import { chooseSettings, setRules } from '../run/choose-settings.js';
import { type ClassModel, openModel } from './class-model.js';
import type { GradeFlags } from './grade-flags.js';
import type { Grading } from './grading.js';

/** With what is said of it once. */
type Chosen = Grading & Pick<ClassModel, 'notes'>;

/** What a class is graded by: its standard, its model and what faults cost. Throws UsageError. */
export async function chooseGrading(given: GradeFlags, io: Io): Promise<Chosen> {
  const { standard: named, with: modules } = given;
  const flags = {
    ...(named !== undefined && { standard: named }),
    ...(modules !== undefined && { with: modules }),
    motion: true,
  };
  const chosen = await chooseSettings(flags, io);
  const { points, grading, settings } = chosen;
  const anywhere = handbookPlace({}, settings, io)?.anywhere ?? null;
  const beside = anywhere === null && hasHandbook(io);
  const model = await openModel(given.like, chosen, io);
  const isUnpaid = model !== null && points !== null && !(points[FIT] ?? 0);
  return {
    ...chosen,
    like: model?.task ?? null,
    notes: [...(model?.notes ?? []), ...(isUnpaid ? [unpaidWords(chosen.standard)] : [])],
    rubric: rubricOf(points, settings.known, grading ?? undefined, model !== null),
    handbook: anywhere ?? (beside ? (rule) => entryAddress(`../${HANDBOOK}`, rule) : null),
    handbookPage: beside
      ? await handbookOf(settings.known, true, setRules(chosen), io, 'student')
      : null,
  };
}

function unpaidWords(standard: string | null): string {
  return `the standard ${standard ?? ''} gives no points to "${FIT}", so being unlike the model costs none; give it some under "points"`;
}
