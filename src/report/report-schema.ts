import { LEVELS } from '../kit/finding.js';
import { finding, PLACE } from './finding-schema.js';
import {
  constant,
  count,
  either,
  flag,
  indexOrNull,
  list,
  number,
  oneOf,
  orNull,
  point,
  record,
  type Schema,
  text,
  textOrNull,
} from './schema-parts.js';
import { clipList, jointTransforms } from './transforms-schema.js';
import { VERDICTS } from './verdicts.js';

/** Names the format; its last part goes up when the format changes. */
export const REPORT_SCHEMA_ID = 'urn:trysquare:report:1';

const joint = record(
  'One joint.',
  {
    name: text('Its name.'),
    path: text('Names from the topmost joint down, with slashes between them.'),
    parent: { ...count('Index of its parent in this list; -1 at the top.'), minimum: -1 },
    node: count('Index of its node in the file.'),
    place: point(`Where it is: ${PLACE}`),
    movesSkin: flag('Whether any vertex has weight on it.'),
    skinShare: number('Share of the skin of the rig that hangs on it: weighted area, 0 to 1.'),
    transforms: jointTransforms,
  },
  ['transforms'],
);

const conventions = record('The axes that the rig uses.', {
  frames: oneOf(['aimed', 'world-aligned', 'mixed', 'unknown'], 'How its joints are turned.'),
  source: oneOf(['standard', 'vote'], 'Whether the standard asks for the axes or most joints do.'),
  aim: orNull(
    record('Signed axis along the bone, such as `+X`, on each side; null where none shows.', {
      middle: text('In the middle.'),
      left: text('On the left side.'),
      right: text('On the right side.'),
    }),
  ),
  up: textOrNull('Signed second axis of the frames; null where none shows.'),
  upKnown: flag('Whether the up axis was asked for or seen on level bones.'),
  votes: count('Joints that share the aim axis.'),
  voters: count('Joints that show an aim axis.'),
  mirror: textOrNull('How right frames mirror left ones; null where no pair shows it.'),
  mirrorAgree: count('Pairs that follow it.'),
  mirrorPairs: count('Pairs that show a scheme.'),
  pairs: record('How left and right joints were matched.', {
    byMapping: count("Pairs matched by the asset's humanoid mapping."),
    byName: count('Pairs matched by name.'),
    byPlace: count('Pairs matched by mirrored place.'),
  }),
  symmetric: flag('Whether the mesh is symmetric about its middle plane.'),
});

const measured = either(
  [
    record('A rule that applied.', {
      rule: text('Id of the rule.'),
      kind: constant('judged', 'Says that the rule judged the rig.'),
      looked: count('Things checked.'),
      short: count('Things among them that are at fault.'),
      elsewhere: count('Things that are at fault, too, but that another rule reports.'),
      of: text('What the things are.'),
    }),
    record('A rule that did not apply.', {
      rule: text('Id of the rule.'),
      kind: constant('not applicable', 'Says that the rule does not apply to the rig.'),
      because: text('Why, in words.'),
    }),
  ],
  'What a rule measured.',
);

const bend = record(
  'How skin changes when a joint is turned by 60 degrees, in its worst direction.',
  {
    joint: count('Index of the joint in its rig.'),
    axis: text('Axis it was turned about, right-handed, such as `+up` or `-side`.'),
    volumeKept: orNull({
      type: 'number',
      description:
        'Volume after the bend divided by volume before; null where the skin has no volume.',
    }),
    triangles: count('Triangles that change their shape.'),
    inverted: count('Those of them that turn inside out.'),
    stretch: number('Largest length of an edge after the bend divided by its length before.'),
  },
);

const rig = record(
  'One rig: skins that share joints or a root.',
  {
    index: count('Its index in the asset.'),
    name: text('Its name.'),
    joints: list(joint, 'Its joints, parents before children.'),
    skins: count('Skins in it.'),
    vertices: count('Vertices it moves.'),
    triangles: count('Triangles it moves.'),
    clips: count('Clips that pose it.'),
    size: number('Diagonal of the bind-posed mesh, in the unit of the report.'),
    conventions,
    bodyRoot: indexOrNull('Index of the body root in its joints; null when it has none.'),
    bodyRootMapped: flag("Whether the body root is the hips of the asset's humanoid mapping."),
    bends: orNull(
      list(bend, 'Joints that bend skin, the worst first; null when bends were not measured.'),
    ),
    measured: list(measured, 'Each rule, those without a finding included.'),
    approved: orNull(
      record(
        'The approved rig that it was compared with; null where the approved asset has none for it, absent where nothing was compared.',
        {
          name: text('Its name.'),
          by: oneOf(
            ['only', 'joints', 'name', 'larger', 'order', 'count'],
            'Why it is that one: both assets have only one rig; most names of joints are the same; of several with as many, it has the same name, is the largest or comes first; no joint has a name and the count of joints is the same.',
          ),
          shared: count('Joints of this rig whose names the approved rig has.'),
          played: count('Clips that were played on both; absent where none were asked.'),
        },
        ['played'],
      ),
    ),
    clipList,
  },
  ['approved', 'clipList'],
);

const failed = record('One rule that failed.', {
  rule: text('Id of the rule.'),
  rig: indexOrNull('Index of the rig that it failed on; null for the asset as a whole.'),
  module: textOrNull('The module that it comes from, as given; null where it comes from none.'),
  reason: text('What went wrong, in the words of its error.'),
});

/** One asset of a report. */
export const assetSchema = record(
  'One file.',
  {
    path: text('Its path as given or found, with forward slashes; `-` for standard input.'),
    standard: record(
      'The standard that is nearest to it; absent where that is the one of the run.',
      {
        path: text('Its path from the folder of the run, with forward slashes.'),
        above: list(
          text('Path of a standard in a folder above.'),
          'Those that it takes from, the nearest first; absent where there are none.',
        ),
        failing: oneOf(
          [...LEVELS, 'never'],
          'Findings at this level or above make this asset unsound, instead of that of the report.',
        ),
        unit: text('Unit that lengths of this asset are given in, instead of that of the report.'),
        settings: text('Digest of all that decides what is found in it, in hexadecimal.'),
      },
      ['above'],
    ),
    verdict: oneOf(
      VERDICTS,
      'The verdict. A file without a rig has nothing to judge, unless a finding makes it unsound.',
    ),
    approved: text(
      'The approved asset that it was compared with, as given; absent where there was none.',
    ),
    asked: record(
      'How much of it was asked, where its clips alone are compared; absent of any other.',
      {
        clips: count('Its clips.'),
        channels: count('Their channels that belong to the skeleton.'),
      },
    ),
    unreadable: orNull(
      record('Why it could not be read; null when it could.', {
        reason: text('What is wrong with it.'),
        where: textOrNull('Where: a JSON pointer, a line and column or a byte; null if unknown.'),
      }),
    ),
    container: orNull(
      record('The file itself; null when it could not be read.', {
        kind: oneOf(['glb', 'gltf'], 'Binary or text.'),
        bytes: count('Its length in bytes.'),
        sha256: textOrNull('Its SHA-256 hash, in hexadecimal; null when it was not taken.'),
        json: record('Where its JSON is.', {
          offset: count('First byte of the JSON, from the start of the file, in bytes.'),
          length: count('Length of the JSON in bytes.'),
        }),
      }),
    ),
    rigs: list(rig, 'Its rigs.'),
    findings: list(finding, 'Its findings, in rig, joint and rule order.'),
    counts: levelCounts('Findings at each level.'),
    failed: list(
      failed,
      "Rules of the house's own that failed, so that they judged nothing; absent if there are none.",
    ),
  },
  ['standard', 'approved', 'asked', 'failed'],
);

function levelCounts(description: string): Schema {
  const counts = { error: count('Errors.'), warning: count('Warnings.'), note: count('Notes.') };
  return record(description, counts);
}

const part = record('Which share of a list was checked; null for all of it.', {
  index: count('Its number, from 1.'),
  of: count('How many parts there are.'),
  list: text('Digest of all paths of the list, in hexadecimal: the same in all of its parts.'),
  total: count('How many paths the whole list has.'),
});

const waivers = (description: string, more: Record<string, Schema> = {}): Schema => {
  const waiver = record(description, {
    line: count('Its line in the ledger, from 1.'),
    rule: text('Id of the rule.'),
    asset: text('Pattern of assets, relative to the folder of the ledger.'),
    joint: textOrNull('The first place it lists; `*` for any joint; null for all of the asset.'),
    others: count('How many more places it lists.'),
    why: text('Why.'),
    by: text('Who waived it.'),
    until: textOrNull('Last day on which it applies, as `YYYY-MM-DD` in UTC; null for no end.'),
    ...more,
  });
  return list(waiver, 'In the order of the ledger.');
};

const ledger = record('What the waivers did; null when there is no ledger.', {
  path: text('The ledger, as given or found.'),
  today: text('The day that the last days of waivers were compared with, as `YYYY-MM-DD` in UTC.'),
  waivers: count('Waivers in it.'),
  waived: count('Findings that are waived.'),
  exceeded: count('Findings that count because they are worse than a valid waiver accepted.'),
  expired: waivers('A waiver of an asset of the run whose last day is past.', {
    findings: orNull(
      count('Findings it would waive; null when its asset does not exist any more.'),
    ),
  }),
  unmatched: waivers(
    'A waiver that matches no finding, although its rule checked one of its assets.',
  ),
  open: waivers('A waiver that matches a finding but does not say what it accepted.'),
  fitting: list(count('A line.'), 'Lines of the waivers that match a finding.'),
});

/** JSON Schema (draft-07) of what `writeJson` writes. */
export const reportSchema = {
  $schema: 'http://json-schema.org/draft-07/schema#',
  $id: REPORT_SCHEMA_ID,
  title: 'Trysquare report',
  ...record(
    'What one run found.',
    {
      $schema: constant(REPORT_SCHEMA_ID, 'Names this schema.'),
      format: constant('trysquare-report', 'Names the format.'),
      formatVersion: constant(1, 'Version of the format.'),
      tool: record('What wrote the report.', {
        name: text('Its name.'),
        version: text('Its version.'),
      }),
      failing: oneOf(
        [...LEVELS, 'never'],
        'Findings at this level or above make an asset unsound.',
      ),
      standard: textOrNull('The standard file used, as given; null when none was.'),
      standardAbove: list(
        text('Path of a standard in a folder above.'),
        'Those that it takes from, the nearest first; absent where there are none.',
      ),
      unit: text('Unit that lengths are given in.'),
      families: list(text('A family of rules that ran.'), 'In rule order.'),
      rules: list(
        text('Id of a rule that ran.'),
        'In rule order; absent where every family ran completely.',
      ),
      settings: text('Digest of all that decides what is found, in hexadecimal.'),
      transforms: constant(
        true,
        'Says that joints have their transforms, and rigs a list of their clips; absent where they have not.',
      ),
      part: orNull(part),
      assets: list(assetSchema, 'Every asset, in path order.'),
      partial: orNull(
        record('How far a run came that was stopped; null for a complete run.', {
          checked: count('Assets that were checked.'),
          of: count('Assets that were to be checked.'),
        }),
      ),
      ledger: orNull(ledger),
      totals: record('Sums over the assets.', {
        assets: count('Assets checked.'),
        verdicts: record(
          'Assets of each verdict.',
          {
            sound: count('Sound.'),
            unsound: count('Unsound.'),
            unreadable: count('Unreadable.'),
            'nothing to judge': count(
              'Without a rig. Absent of reports that counted them as sound.',
            ),
          },
          ['nothing to judge'],
        ),
        counts: levelCounts('Findings at each level that nobody waived.'),
      }),
      verdict: oneOf(
        [...VERDICTS, null],
        'The worst verdict of the assets: of those that have a rig, if there are any. It is null when no asset was checked, or when the run was stopped and no asset until then was at fault.',
      ),
    },
    ['standardAbove', 'rules', 'transforms'],
  ),
} as const;
