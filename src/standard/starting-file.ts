import { schemaLine } from '../house/schema-line.js';
import type { Rule } from '../kit/rule.js';
import { MIRROR_SCHEMES } from '../measure/mirror-schemes.js';
import { PLAIN_PATTERN, SIDE_SPELLINGS } from '../measure/names/name-pattern.js';
import { CONTRACT_LIMITS } from './contract-limits.js';
import { STANDARD_NAME } from './find-standard.js';
import { DEFAULT_GRADING } from './grading.js';
import { DEFAULT_POINTS } from './standard-schema.js';

/** What is true of the standard of a folder, which is found by its name. */
const OF_FOLDER = {
  head: `\
// What this house requires of its rigs: of all files in this folder and below.
// Everything here is optional. What you leave out is taken from the trysquare.json in the next folder
// above that has one; where there is none, it keeps its default.`,
  alone: `

  // "alone": true, // takes nothing from a trysquare.json in the folders above`,
};

/** And of one under any other name: no command looks for it. */
function named(name: string): typeof OF_FOLDER {
  const head = `\
// What this house requires of its rigs. No command finds this file by itself: name it with
// --standard ${JSON.stringify(name)}. Everything here is optional. What you leave out keeps its default.`;
  return { head, alone: '' };
}

/**
 * A standard to start from: every setting, commented out, and what it does. As it is, the file changes
 * nothing, not even what a standard in a folder above says.
 *
 * @param name The name of the file, without folders.
 */
export function startingStandard(rules: readonly Rule[], name = STANDARD_NAME): string {
  const { head, alone } = name === STANDARD_NAME ? OF_FOLDER : named(name);
  const points = Object.entries(DEFAULT_POINTS).map(([family, worth]) => `"${family}": ${worth}`);
  const limits = rules.flatMap((rule) => {
    const own = Object.entries(rule.limits).filter(
      ([name]) => !CONTRACT_LIMITS.some((one) => one.rule === rule.id && one.limit === name),
    );
    const each = own.map(([name, spec]) => `"${name}": "${spec.default} ${spec.unit}"`);
    return each.length === 0 ? [] : [`    // "${rule.id}": { ${each.join(', ')} },\n`];
  });
  return `\
${head}
{
  ${schemaLine('standard')}

  // "name": "Lantern theatre, walking puppets",${alone}

  // Without conventions, the axes are found from each rig, which must only agree with itself.
  "conventions": {
    // "aim": "+X", // points along the bone: +X -X +Y -Y +Z -Z
    // "up": "+Y", // second axis of the frame; points up on a level spine
    // "mirror": "all reversed", // how right frames follow left ones: ${MIRROR_SCHEMES.join(', ')}
    // "unit": "m" // one unit of length in an asset: m cm mm in ft
  },

  // How joints are named. Sides are checked against it, and a mend uses it for joints that name.* rules find.
  // "names": { "pattern": "${PLAIN_PATTERN}", "sides": "${SIDE_SPELLINGS[0]}", "digits": 1, "checked": "sides" },

  // What must be in a rig, and what must not; nothing of it is checked unless you write it.
  // "contract": { "joints": { "required": ["root"], "forbidden": ["ctrl_*"], "most": 120, "roots": 1, "influences": 4 }, "clips": { "required": ["idle"], "names": ["*"], "rate": 30, "most": 40 }, "height": { "from": 0.5, "to": 2, "unit": "m" }, "vertical": "+Y", "facing": "+Z" },

  // The pose that rigs are delivered in: bind (the bind pose) or posed (another pose, on purpose).
  // "rest": "bind",

  // Folders and files that a search leaves out, relative to this folder.
  "without": [
    // "old", "**/draft-*.glb"
  ],

  // Where people of the house open the handbook that "trysquare rules --out" wrote.
  // "handbook": "https://house.example/handbook.html",

  // Findings at this level or above make a rig unsound: error, warning, note, never.
  // "failing": "error",

  // A level for all findings of a rule or of a family; "none" leaves it out.
  "levels": {
    // "chain.hinge": "none",
    // "name.missing": "error"
  },

  // The points of each family of rules when a class is graded. These are the defaults;
  // if you give points, a family that you leave out is worth 0.
  // "points": { ${points.join(', ')} },

  // What faults cost then. From so many joints at fault on, a family loses a share of its points
  // ("bands"; 1 is all of them). Joints with only warnings or notes can count a part of their band. One
  // error costs a share at once. An unsound rig, or one with a rule under "most", gets no more than a
  // share of all points. Findings of the rules under "counts" count as another level than they are
  // reported at, some only from a measure on ("countsFrom", in the unit of the rule). Errors of the
  // rules under "also" count in a second family. Points are told as grades, too, each from so many
  // percent of all points on ("grades"; [] for none). These are the defaults.
  // "grading": ${gradingLine()},

  // What is marked of each submission when a class is graded: final files by their names, or by a text
  // file of the student, and several rigs of one submission as one or apart.
  // "submissions": { "final": ["*_final.glb"], "named": "final.txt", "rigs": "one" },

  // Limits, as numbers or with their unit. These are the defaults. Those of topmost joints and of
  // influences are in the contract: "roots" and "influences".
  "limits": {
${limits.join('')}  }
}
`;
}

/** The defaults, as they would be written. */
function gradingLine(): string {
  return JSON.stringify(DEFAULT_GRADING, null, 1)
    .replace(/\s*\n\s*/g, ' ')
    .replace(/\[ /g, '[')
    .replace(/ \]/g, ']');
}
