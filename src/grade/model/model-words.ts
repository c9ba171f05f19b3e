import { percentage } from '../../kit/figures.js';
import { LEVELS } from '../../kit/finding.js';
import { counted } from '../../report/finding-words.js';
import type { LikedRig, LikeFault } from '../../report/like-report.js';
import { codeName } from '../../report/markdown-text.js';
import { atFault, lostWords } from '../arithmetic.js';
import { firstOf } from '../class-words.js';
import { countedFaulty, countFrom } from '../family-cost.js';
import { FIT, type Grade } from '../grade-assets.js';
import { showWorth } from '../tenths.js';
import type { AgainstModel } from './against-model.js';
import { faultyAgainst, NO_MESH } from './against-model.js';

/** Names that one line lists, and lines of one rig. */
const [NAMES, LISTED] = [8, 20];

/** The part of the feedback about the model, as blocks of Markdown; none where nothing was to be compared. */
export function modelBlocks(against: AgainstModel | null, grade: Grade | null): string[] {
  if (against === null) return [];
  const { model, files, unlike } = against;
  const name = codeName(model);
  if (files.length === 0) return ['## Against the model', `Not compared with ${name}: ${NO_MESH}.`];
  const several =
    unlike.length > 0 || files.length > 1 || files.some(({ rigs }) => rigs.length > 1);
  const rigs = files.flatMap((file) =>
    file.rigs.flatMap((rig) => {
      const where = several ? `In ${codeName(file.path)}, rig ${codeName(rig.own)}: ` : '';
      return [`${where}${placeLine(rig)}`, ...faultLines(rig)];
    }),
  );
  const gone = unlike.map(
    (rig) =>
      `- **error**: the rig ${codeName(rig.name)} of the model (${counted(rig.joints, 'joint')}) is missing: no rig here has its mesh.`,
  );
  return [
    '## Against the model',
    `The model ${name} was laid over this rig, mesh on mesh. Joints count by their place: names do not matter here.`,
    ...(grade === null ? [] : [costWords(grade)]),
    ...rigs,
    ...(gone.length === 0 ? [] : [gone.join('\n')]),
  ];
}

function placeLine({ inPlace, joints, limit }: LikedRig): string {
  const most = `${percentage(limit)} of the model's size`;
  return inPlace === joints
    ? `All ${counted(joints, 'joint')} of the model are in place (limit ${most}).`
    : `${inPlace} of ${counted(joints, 'joint')} of the model are in place (limit ${most}).`;
}

function faultLines({ faults, limit, extra }: LikedRig): string[] {
  const sorted = [...faults].sort((a, b) => LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level));
  const lines = sorted.slice(0, LISTED).map((fault) => `- ${faultLine(fault, limit)}`);
  const more = sorted.length - lines.length;
  if (more > 0) lines.push(`- and ${more} more`);
  if (extra.length > 0)
    lines.push(
      `- The model does not have ${firstOf(extra.map(codeName), NAMES)}. That costs nothing here.`,
    );
  return lines.length === 0 ? [] : [lines.join('\n')];
}

function faultLine(fault: LikeFault, limit: number): string {
  const { level } = fault;
  if (fault.kind === 'missing') {
    const names = firstOf(fault.joints.map(codeName), NAMES);
    return fault.joints.length === 1
      ? `**${level}**: ${names} of the model is missing: no joint is in its place. Add it where the model has it.`
      : `**${level}**: ${fault.joints.length} joints of the model are missing: ${names}. Build this chain where the model has it.`;
  }
  const away = `${percentage(fault.percent)} of the model's size (${fault.away})`;
  const most = `(limit ${percentage(limit)})`;
  return fault.own === null
    ? `**${level}**: the bones pass ${away} from the place of ${codeName(fault.joint)} in the model ${most}. Move the joints of this chain onto those of the model.`
    : `**${level}**: ${codeName(fault.own)} is ${away} from the place of ${codeName(fault.joint)} in the model ${most}. Move it there, and leave the mesh as it is.`;
}

/** What the comparison costs, as the feedback says it of the other families. */
function costWords({ families, grading }: Grade): string {
  const family = families.find((each) => each.family === FIT);
  const name = codeName(FIT);
  if (family === undefined)
    return `Costs no points, because the family ${name} has no points here.`;
  const faulty = countedFaulty(family.faulty, grading);
  if (family.lost === 0)
    return `For this, ${name} loses none of its ${showWorth(family.worth)} points.`;
  const isMild = family.cost.share < grading.error.value && countFrom(faulty, 'error') > 0;
  const mild = isMild ? ' One error costs no more than a warning here.' : '';
  return `For this, ${name} loses ${lostWords(family)}: ${atFault(faulty)}.${mild}`;
}

/** What is first to mend against the model, in a few words; null where nothing costs points. */
export function firstAgainst(against: AgainstModel | null): string | null {
  const faulty = (against?.files ?? []).flatMap(faultyAgainst);
  const worse =
    faulty.filter(({ level }) => level !== 'note').length + (against?.unlike.length ?? 0);
  return worse === 0 ? null : `joints missing or elsewhere than in the model (${worse})`;
}
