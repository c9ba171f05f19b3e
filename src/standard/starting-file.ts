import { schemaLine } from '../house/schema-line.js';
import type { Rule } from '../kit/rule.js';
import { PLAIN_PATTERN, SIDE_SPELLINGS } from '../measure/names/name-pattern.js';
import { DEFAULT_POINTS } from './standard-schema.js';

/**
 * A standard to start from: every setting there, commented out or at its default, with what it
 * does. Read back as it stands it changes nothing.
 */
export function startingStandard(rules: readonly Rule[]): string {
  const points = Object.entries(DEFAULT_POINTS).map(([family, worth]) => `"${family}": ${worth}`);
  const lines = [
    '// What this house holds its rigs to. Read by trysquare from the folder it runs in or any above.',
    '// Everything here is optional; what is left out keeps its default.',
    '{',
    `  ${schemaLine('standard')}`,
    '',
    '  // "name": "Lantern theatre, walking puppets",',
    '',
    '  // Without conventions the axes are read off each rig, which only has to agree with itself.',
    '  "conventions": {',
    '    // "aim": "+X", // points along the bone: +X -X +Y -Y +Z -Z',
    '    // "up": "+Y", // second axis of the frame; looks up on a level spine',
    '    "unit": "m" // one unit of length in an asset: m cm mm in ft',
    '  },',
    '',
    '  // How joints are named. Sides are held to it, and a mend names by it what name.* rules find.',
    `  // "names": { "pattern": "${PLAIN_PATTERN}", "sides": "${SIDE_SPELLINGS[0]}", "digits": 1 },`,
    '',
    '  // The pose that rigs are delivered in: bind (they were bound in it) or posed (another is meant).',
    '  "rest": "bind",',
    '',
    '  // Findings at this level or above make a rig unsound: error, warning, note, never.',
    '  "failing": "error",',
    '',
    '  // A level for all findings of a rule; "none" leaves the rule out.',
    '  "levels": {',
    '    // "chain.hinge": "none",',
    '    // "name.missing": "error"',
    '  },',
    '',
    '  // What a class can earn in each family of rules when it is graded. These are the defaults;',
    '  // where points are given, a family left out is worth 0.',
    `  // "points": { ${points.join(', ')} },`,
    '',
    '  // Limits, as numbers or with their unit. These are the defaults.',
    '  "limits": {',
    ...rules.flatMap((rule) => {
      const limits = Object.entries(rule.limits).map(
        ([name, spec]) => `"${name}": "${spec.default} ${spec.unit}"`,
      );
      return limits.length === 0 ? [] : [`    // "${rule.id}": { ${limits.join(', ')} },`];
    }),
    '  }',
    '}',
    '',
  ];
  return lines.join('\n');
}
