import { MIRROR_SCHEMES, type MirrorScheme } from '../../measure/mirror-schemes.js';
import { type Agreement, agreementOf, groupWords, rigList } from './agreement.js';
import type { ContractFacts } from './contract.js';
import { sizeWords } from './contract.js';
import { type NamesSeen, namesOf } from './house-names.js';
import type { RigSeen } from './rig-seen.js';
import { quotedList } from './words.js';

/** The axes that a standard asks for; null where it leaves them to the rig. */
export interface Conventions {
  readonly aim: string | null;
  readonly up: string | null;
}

/** What approved rigs have in common, and where they differ. */
export interface House {
  readonly rigs: readonly string[];
  /** The aim axis, or what frames are instead; `world-aligned` and `mixed` are no axes. */
  readonly aim: Agreement;
  readonly up: Agreement;
  readonly mirror: Agreement;
  readonly names: NamesSeen;
  /** Rigs in another pose than their bind pose. */
  readonly posed: readonly string[];
  readonly rest: 'bind' | 'posed';
}

/** Axes that all rigs show and that a standard still does not ask for, with a file that it would make unsound. */
export type Refused = Partial<Record<keyof Conventions, string>>;

export function houseOf(seen: readonly RigSeen[]): House {
  const aim = agreementOf(seen, (rig) => rig.aim ?? (rig.frames === 'unknown' ? null : rig.frames));
  const up = agreementOf(seen, (rig) => rig.up);
  const posed = seen.filter(({ isPosed }) => isPosed).map(({ rig }) => rig);
  return {
    rigs: seen.map(({ rig }) => rig),
    aim,
    up,
    mirror: agreementOf(seen, (rig) => rig.mirror),
    names: namesOf(seen),
    posed,
    rest: posed.length > 0 && posed.length === seen.length ? 'posed' : 'bind',
  };
}

/** The mirror scheme that all rigs have that show one; null where they have none in common. */
export function mirrorOf({ value }: Agreement): MirrorScheme | null {
  return MIRROR_SCHEMES.find((scheme) => scheme === value) ?? null;
}

/** Why a standard does not ask for an axis, as a clause. */
export function notAsked(house: House, key: keyof Conventions, refused: Refused): string {
  const { value, groups } = house[key];
  const file = refused[key];
  if (groups.length === 0) return 'no rig shows one';
  if (value === null) return `the rigs differ, ${groupWords(house[key])}`;
  if (file !== undefined) return refusedWords(house[key], file);
  return isAxis(value)
    ? `all rigs that show one have ${value}, but there is no aim axis that goes with it`
    : `all frames are ${value}, and an aim axis runs along the bones`;
}

function refusedWords({ value }: Agreement, file: string): string {
  return `all rigs that show one have ${value}, but ${rigList([file])} would be unsound if it was asked for`;
}

/** What a standard could ask for, the most first; nothing at last, which goes with every rig. */
export function conventionsFrom({ aim, up }: House): Conventions[] {
  const none: Conventions = { aim: null, up: null };
  if (aim.value === null || !isAxis(aim.value)) return [none];
  const alone: Conventions = { aim: aim.value, up: null };
  const isSquare = up.value !== null && up.value.charAt(1) !== aim.value.charAt(1);
  return isSquare ? [{ ...alone, up: up.value }, alone, none] : [alone, none];
}

function isAxis(value: string): boolean {
  return /^[+-][XYZ]$/.test(value);
}

/** Names that a sentence gives as examples. */
export const EXAMPLES = 3;

/** Sizes farther apart than this are hardly of one unit. */
const FAR_APART = 50;

/** What the rigs disagree in, a sentence each. */
export function disagreements(house: House, refused: Refused, { sizes }: ContractFacts): string[] {
  const { aim, up, mirror, names, posed, rest, rigs } = house;
  const differ = (what: string, agreement: Agreement): string[] =>
    agreement.groups.length > 1 ? [`the rigs differ in ${what}: ${groupWords(agreement)}`] : [];
  return [
    ...differ('the aim axis', aim),
    ...differ('the up axis', up),
    ...(['aim', 'up'] as const).flatMap((key) =>
      refused[key] === undefined
        ? []
        : [`the standard does not ask for "${key}": ${refusedWords(house[key], refused[key])}`],
    ),
    ...differ('how right frames mirror left ones', mirror),
    ...(names.sided > 0 && names.others.length > 0
      ? [
          `the rigs differ in how names tell sides: ${names.others.length} of ${names.sided} joints do it in another way than most, such as ${quotedList(names.others, EXAMPLES)}`,
        ]
      : []),
    ...(rest === 'bind' && posed.length > 0
      ? [
          `the rigs differ in the pose that they are stored in: ${posed.length} of ${rigs.length} are not in their bind pose: ${rigList(posed)}`,
        ]
      : []),
    ...(sizes !== null && sizes.most.value > FAR_APART * sizes.least.value
      ? [`the rigs may differ in their unit: sizes lie far apart, ${sizeWords(sizes)}`]
      : []),
  ];
}
