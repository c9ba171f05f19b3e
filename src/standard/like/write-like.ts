import { schemaLine } from '../../house/schema-line.js';
import { significant } from '../../kit/figures.js';
import type { Rule } from '../../kit/rule.js';
import { SCHEME_WORDS } from '../../measure/mirror-schemes.js';
import { counted } from '../../report/finding-words.js';
import { CONTRACT_LIMITS } from '../contract-limits.js';
import { groupWords, rigList } from './agreement.js';
import { type ContractFacts, contractOf, sizeWords } from './contract.js';
import {
  type Conventions,
  EXAMPLES,
  type House,
  mirrorOf,
  notAsked,
  type Refused,
} from './house.js';
import { isCounted, type Loosening, type Moved } from './loosening.js';
import { commentLines, quotedList } from './words.js';

/** All that a standard is written from. */
export interface LikeDraft {
  readonly house: House;
  /** What of the house's conventions the standard asks for. */
  readonly conventions: Conventions;
  readonly refused: Refused;
  readonly loosening: Loosening;
  readonly contract: ContractFacts;
  /** Rules that still find something, and in how many rigs; empty as long as that is not known. */
  readonly left: ReadonlyMap<string, number>;
}

/** A standard with comments that tell where each number is from. */
export function likeText(draft: LikeDraft, rules: readonly Rule[]): string {
  const { house, contract } = draft;
  const count = house.rigs.length;
  const who =
    count === 1 ? `1 rig: ${rigList(house.rigs)}` : `${count} rigs: ${rigList(house.rigs)}`;
  return `${[
    ...commentLines(`What this house requires of its rigs, read off ${who}.`),
    ...commentLines(
      `${count === 1 ? 'It is' : 'All of them are'} sound under this standard. The values tell what ${count === 1 ? 'this rig has' : 'these rigs have'}: check that the house wants them.`,
    ),
    '{',
    ...inner([
      schemaLine('standard'),
      '',
      '// "name": "Lantern theatre, walking puppets",',
      '',
      ...commentLines(
        `It takes nothing from a trysquare.json in the folders above, under which ${count === 1 ? 'this rig was' : 'these rigs were'} not checked. Remove this to add what those ask for.`,
      ),
      '"alone": true,',
      '',
      ...conventionLines(draft),
      '',
      ...nameLines(house),
      '',
      ...restLines(house),
      '',
      '// Findings at this level or above make a rig unsound: error, warning, note, never.',
      '"failing": "error",',
      '',
      ...levelLines(draft),
      '',
      ...limitLines(draft, rules),
      '',
      ...contractOf(contract, draft.loosening, rules),
    ]),
    '}',
  ].join('\n')}\n`;
}

function inner(lines: readonly string[]): string[] {
  return lines.map((line) => (line === '' ? '' : `  ${line}`));
}

function conventionLines({ house, conventions, refused, contract }: LikeDraft): string[] {
  const axes = (['aim', 'up'] as const).flatMap((key) => {
    const asked = conventions[key];
    if (asked !== null) return [`"${key}": "${asked}",`];
    return commentLines(`"${key}" is left out: ${notAsked(house, key, refused)}.`);
  });
  const sizes = contract.sizes === null ? 'none' : sizeWords(contract.sizes);
  return [
    '"conventions": {',
    ...inner([
      ...axes,
      ...mirrorLines(house),
      ...commentLines(
        `Lengths are in metres, as glTF 2.0 has them (3.4). Sizes of the rigs: ${sizes}. If they are in another unit, write it: m cm mm in ft.`,
      ),
      '"unit": "m",',
    ]),
    '},',
  ];
}

function mirrorLines({ mirror }: House): string[] {
  const scheme = mirrorOf(mirror);
  if (scheme === null)
    return commentLines(
      `"mirror" is left out: ${mirror.groups.length === 0 ? 'no rig has pairs that show how frames mirror' : `the rigs have no scheme in common, ${groupWords(mirror)}`}.`,
    );
  return [
    ...commentLines(`Of a pair, the right frame is ${SCHEME_WORDS[scheme]}.`),
    `"mirror": "${scheme}",`,
  ];
}

function nameLines({ names }: House): string[] {
  const { names: found, sided, others } = names;
  if (found === null)
    return commentLines(
      sided === 0
        ? 'No joint tells a side in its name, so no pattern of names is asked for.'
        : `"names" is left out: the ${sided} joints with a side follow no pattern that a standard can write, such as ${quotedList(others, EXAMPLES)}.`,
    );
  const { pattern, sides, digits } = found;
  const value = `{ "pattern": ${JSON.stringify(pattern)}, "sides": "${sides}", "digits": ${digits} }`;
  if (others.length === 0)
    return [
      ...commentLines(`How joints are named. All ${sided} joints with a side follow it.`),
      `"names": ${value},`,
    ];
  return [
    ...commentLines(
      `"names" is left out: ${others.length} of ${sided} joints with a side do not follow what the others do, such as ${quotedList(others, EXAMPLES)}.`,
    ),
    `// "names": ${value},`,
  ];
}

function restLines({ posed, rigs, rest }: House): string[] {
  const why =
    posed.length === 0
      ? 'The pose that rigs are delivered in: all are in their bind pose.'
      : rest === 'posed'
        ? 'The pose that rigs are delivered in: all are in another pose than their bind pose.'
        : `The pose that rigs are delivered in. ${posed.length} of ${rigs.length} are in another pose than their bind pose: ${rigList(posed)}.`;
  return [...commentLines(why), `"rest": "${rest}",`];
}

function levelLines({ loosening: { levels } }: LikeDraft): string[] {
  if (levels.size === 0) return ['"levels": {},'];
  const lines = [...levels].flatMap(([rule, { level, rigs }]) => [
    ...commentLines(`No limit of ${rule} lets these rigs pass: ${rigList(rigs)}.`),
    `"${rule}": "${level}",`,
  ]);
  return ['"levels": {', ...inner(lines), '},'];
}

function limitLines({ loosening: { limits }, left }: LikeDraft, rules: readonly Rule[]): string[] {
  const lines = rules.flatMap(({ id, limits: specs }) => {
    // What a contract has a key for is written there.
    const moved = [...(limits.get(id) ?? [])].filter(
      ([name]) => !CONTRACT_LIMITS.some(({ rule, limit }) => rule === id && limit === name),
    );
    if (moved.length === 0) return [];
    const why = moved.map(
      ([name, { measured, rig, unit }]) =>
        `${name}: ${significant(measured)}${isCounted(unit) ? '' : ` ${unit}`} in ${rigList([rig])}, default ${specs[name]?.default}`,
    );
    const values = moved.map(([name, moved]) => `"${name}": ${writtenLimit(moved)}`);
    return [...commentLines(`${why.join('; ')}.`), `"${id}": { ${values.join(', ')} },`];
  });
  const stands = rules.flatMap(({ id }) => {
    const count = left.get(id) ?? 0;
    return count === 0 ? [] : [`${id} (${counted(count, 'rig')})`];
  });
  return [
    ...(stands.length > 0
      ? commentLines(
          `Found in these rigs and left as it is, since it makes none unsound: ${stands.join(', ')}.`,
        )
      : []),
    ...(lines.length === 0 ? ['"limits": {},'] : ['"limits": {', ...inner(lines), '},']),
  ];
}

/** A count is a number; anything else has its unit, so that nobody has to look it up. */
function writtenLimit({ value, unit }: Moved): string {
  return isCounted(unit) ? String(value) : `"${value} ${unit}"`;
}
