import { LEVELS } from '../../kit/finding.js';
import {
  constant,
  count,
  flag,
  indexOrNull,
  list,
  number,
  oneOf,
  orNull,
  record,
  type Schema,
  text,
  textOrNull,
} from '../../report/schema-parts.js';
import { VERDICTS } from '../../report/verdicts.js';
import { OUTCOMES } from './mend-record.js';

/** Names the format; its last part goes up when the format changes. */
export const MEND_REPORT_ID = 'urn:trysquare:mend:1';

const SHARE = 'in percent of the size of the rig';

const counts = (what: string) =>
  record(what, Object.fromEntries(LEVELS.map((level) => [level, count(`How many at ${level}.`)])));

const verdict = (when: string): Schema =>
  record(`The asset ${when} the mend.`, {
    verdict: oneOf(VERDICTS, 'Whether it is sound.'),
    counts: counts('Findings that nobody waived, by level.'),
  });

const findingProperties = {
  identity: text('The same after every export of the same rig, as in the report of a check.'),
  rule: text('Id of the rule that found it.'),
  level: oneOf(LEVELS, 'How serious it is.'),
  place: record('The place that it is reported at.', {
    kind: oneOf(['joint', 'node', 'mesh', 'skin', 'rig', 'asset'], 'What it is.'),
    path: text('Its names from the top down.'),
    node: indexOrNull('Index of the node in the file; null where there is none.'),
    pointer: text('JSON pointer (RFC 6901) into the JSON of the file; empty for all of it.'),
  }),
  places: count('How many places it lists.'),
  message: text('What was measured, the limit and the joint, in one sentence.'),
  waived: flag('Whether a ledger waives it.'),
};

const finding = record('One finding.', findingProperties);

const findings = record('What the mend did to the findings.', {
  gone: list(finding, 'Findings from before that are gone.'),
  new: list(finding, 'Findings where the same rule found nothing before.'),
  spread: list(
    record('A finding that was there, at more places now.', {
      ...findingProperties,
      newPlaces: list(text('Path of a place.'), 'Places where the rule found nothing before.'),
    }),
    'Findings from before that have come to list more places.',
  ),
  risen: list(
    record('A finding that was there at a milder level.', {
      ...findingProperties,
      from: oneOf(LEVELS, 'Its level before.'),
    }),
    'Findings from before that have become more serious.',
  ),
  left: list(finding, 'Findings from before that are still there.'),
});

const proofPlace = orNull(
  record('A place and a time; null where nothing moved, or a bound alone says how far.', {
    rig: text('Name of the rig.'),
    part: text('Mesh and primitive; for what is not skinned, the name of the node.'),
    vertex: indexOrNull('Index of the vertex; null for what is not skinned.'),
    clip: textOrNull('The clip; null for the pose as stored.'),
    seconds: number('Time in the clip; null for the pose as stored.'),
    target: indexOrNull('Morph target at full weight; null where all have those of the pose.'),
  }),
);

const seen = (where: string): Schema =>
  record(`The most that anything differs ${where}.`, {
    percentOfSize: number(`How far a vertex is from where it was, ${SHARE}.`),
    at: proofPlace,
    degrees: number('How far a normal or a tangent has turned; null where it has no direction.'),
    turnedAt: proofPlace,
  });

const proof = record('What was compared before and after, and what was found.', {
  isProof: flag('Whether it proves that nothing is seen; false where a change was allowed.'),
  vertices: count('Vertices compared.'),
  poses: count('Poses of each.'),
  directions: count('Vertices whose normals or tangents were compared.'),
  targets: count('Morph targets shown.'),
  limits: record('What counts as unseen.', {
    percentOfSize: number(`Largest distance, ${SHARE}.`),
    degrees: number('Largest angle.'),
  }),
  most: seen('in any pose'),
  stored: seen('in the pose as stored'),
  clips: seen('in clips'),
});

const shownByClips = (when: string): Schema =>
  record(`The most that they show off ${when} the mend.`, {
    degrees: number('Largest angle between a bone and the approved one.'),
    percentOfSize: number(`How far a joint, or skin, is from its place, ${SHARE}.`),
    unfound: count('Joints that the clips pose and that no joint has the name of.'),
  });

const rules = list(text('Id of a rule.'), 'The rules.');

/** One asset of a report about a mend. */
export const mendAssetSchema = record('The mend of one asset.', {
  path: text('As given or found, with forward slashes.'),
  standard: textOrNull('The standard that it is checked against; null for none.'),
  approved: orNull(
    record(
      'The approved asset that it is compared with; null for none, or where it was not mended.',
      {
        path: text('As given, or from the working folder on.'),
        rigs: list(
          record('One rig of the asset.', {
            rig: text('Its name.'),
            with: textOrNull('The approved rig that it is compared with; null for none.'),
            by: oneOf(
              ['only', 'joints', 'name', 'larger', 'order', 'count', null],
              'Why with that one, as in the report of a check.',
            ),
          }),
          'Its rigs.',
        ),
        played: orNull(
          list(
            record('A rig that has a counterpart there.', {
              rig: text('Its name.'),
              clips: count('Clips of the approved asset that pose a joint of it.'),
              before: shownByClips('before'),
              after: shownByClips('after'),
            }),
            'What clips of the approved asset show; null where no rig was to be made like it.',
          ),
        ),
      },
    ),
  ),
  outcome: oneOf(
    OUTCOMES,
    'written: mended, and written. copied: sound with nothing to mend, and copied. left: the same, and left. planned: a dry run. refused: nothing fit to be written came of it. failed: it could not be written. unreadable: it could not be read, or has data that a mend would break.',
  ),
  why: textOrNull('Why nothing was written; null where something was, or nothing had to be.'),
  where: textOrNull('The place in the file that cannot be read; null for none.'),
  out: textOrNull('The mended file; null where none was written.'),
  files: list(
    record('One file that was written, or is there already with the same content.', {
      path: text('Its path.'),
      holds: oneOf(
        ['asset', 'buffer', 'companion', 'names', 'backup'],
        'asset: the mended asset. buffer: a buffer that changed. companion: a file that it names, copied. names: paths of joints that changed, old to new. backup: the asset before the mend.',
      ),
    }),
    'All files that were written.',
  ),
  notTaken: list(
    record('A file that the asset names and that was not copied.', {
      uri: text('As the asset names it.'),
      why: text('Why it was not.'),
    }),
    'Files that did not go along.',
  ),
  before: orNull(verdict('before')),
  after: orNull(verdict('after')),
  changes: list(
    record('One thing that was changed.', {
      rule: text('The rule whose finding is mended.'),
      place: text('Path of the joint, or name of the mesh, clip or rig.'),
      before: text('What it was, with numbers and units.'),
      after: text('What it is.'),
    }),
    'The plan: all that was changed, in order.',
  ),
  left: list(
    record('One finding that was left alone.', {
      rule: text('The rule that found it.'),
      place: text('Path of the place.'),
      why: text('Why it was left alone, and what to do instead.'),
    }),
    'What was left alone.',
  ),
  findings: orNull(findings),
  proof: orNull(proof),
  offence: orNull(
    record('The repair that would change what is seen, so that nothing was written.', {
      repair: text('Its name.'),
      rules,
      proof,
    }),
  ),
  allowed: list(
    record('A change that was allowed to be seen.', {
      rules,
      percentOfSize: number(`How far it moves a vertex at most, ${SHARE}.`),
      degrees: number('How far it turns a normal or a tangent at most.'),
    }),
    'Changes that were allowed to be seen.',
  ),
  notes: list(text('A sentence.'), 'What became of packed data.'),
  renamed: list(
    record('A joint with a new path.', {
      old: text('Its path before.'),
      now: text('Its path after.'),
    }),
    'Joints that have another path.',
  ),
});

const ids = (what: string): Schema => list(text('Id of a rule.'), what);

/** JSON Schema (draft-07) of what `mend --report` writes. */
export const mendReportSchema: Schema = {
  $schema: 'http://json-schema.org/draft-07/schema#',
  $id: MEND_REPORT_ID,
  title: 'Trysquare report of a mend',
  ...record('What a mend of one or more assets did.', {
    $schema: constant(MEND_REPORT_ID, 'Names this format.'),
    format: constant('trysquare-mend', 'Says that this is such a report.'),
    formatVersion: constant(1, 'Version of the format.'),
    tool: record('What wrote it.', { name: text('Its name.'), version: text('Its version.') }),
    dryRun: flag('Whether nothing was to be written.'),
    asked: record('What was asked for.', {
      only: orNull(ids('Rules whose findings are mended; null for all that can be.')),
      skip: ids('Rules whose findings are left alone.'),
      also: ids('Rules whose mends are made although they are only made when asked.'),
      allow: ids('Rules whose mends may change what is seen.'),
      like: textOrNull('The approved asset that all are made like; null for none.'),
      resample: flag('Whether curves may be made anew where no exact mend exists.'),
      restFrom: oneOf(['bind', 'pose', null], 'Which pose is the right one; null for neither.'),
      convention: orNull(
        record('The axes that whole rigs are turned to.', {
          aim: text('Signed axis along the bones, such as +Y.'),
          up: text('Signed up axis.'),
        }),
      ),
      pack: flag('Whether what had to be unpacked is packed again.'),
    }),
    part: orNull(
      record('The share of a list that was mended.', {
        index: count('From 1 on.'),
        of: count('How many shares there are.'),
        list: text('Digest of all paths of the list, in hexadecimal.'),
        total: count('How many paths the whole list has.'),
      }),
    ),
    assets: list(mendAssetSchema, 'The assets, in path order.'),
    partial: orNull(
      record('How far a run came that was stopped before its end.', {
        mended: count('Assets that were done.'),
        of: count('Assets of the run.'),
      }),
    ),
    totals: record('All assets together.', {
      assets: count('How many there are.'),
      outcomes: record(
        'How many ended in which way.',
        Object.fromEntries(OUTCOMES.map((outcome) => [outcome, count(`Assets ${outcome}.`)])),
      ),
      sound: count('Assets that are sound after the mend, those left as they were included.'),
    }),
  }),
};
