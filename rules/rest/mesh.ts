import { LEAST_PERCENT } from '../../src/kit/figures.js';
import { judged, judgedAsOne, notApplicable } from '../../src/kit/finding.js';
import { rule } from '../../src/kit/rule.js';
import { size } from '../../src/measure/geometry/bind-mesh.js';
import { nodeOffset } from '../../src/measure/pose/holder-sum.js';
import { vec3At } from '../../src/rig/vec3.js';
import { against, limit } from '../parts.js';

/** A transform that viewers ignore is a trap for whoever reads the file otherwise. */
export const restMesh = rule({
  id: 'rest.mesh',
  level: 'note',
  title: 'a skinned mesh node with a transform of its own',
  why: 'Viewers must ignore this transform, so it can only mislead. Tools that do not ignore it show the mesh beside its rig.',
  formula:
    'The translation (in world space, relative to size), rotation and scale of each node that shows a skinned mesh. Each rig has one finding, at its first such node.',
  remedy: 'Apply or clear the transform of the mesh node before export.',
  source:
    'glTF 2.0, 3.7.3.3 Skinned Mesh Attributes and the implementation note on node transforms in 3.7.3.1',
  limits: {
    move: limit(0.01, '% of size', 'translation of a skinned mesh node'),
    turn: limit(0.1, 'degrees', 'rotation of a skinned mesh node'),
    scale: limit(0.1, '%', 'scale of a skinned mesh node away from 1'),
  },
  check(facts, limits) {
    const { meshNodes, nodes } = facts.rig;
    if (meshNodes.length === 0) return notApplicable('no mesh uses the skin');
    const found = meshNodes.flatMap((node) => {
      const { move, turn } = nodeOffset(facts.rig, node);
      const movePercent = size(facts) > 0 ? (100 * move) / size(facts) : 0;
      const scale = vec3At(nodes.scale, node);
      const scalePercent = 100 * Math.max(...scale.map((part) => Math.abs(part - 1)));
      const [over, ...also] = [
        against(movePercent, limits.move, '% of size'),
        against(turn, limits.turn, 'degrees'),
        against(scalePercent, limits.scale, '%'),
      ].filter(({ measured, limit }) => measured > (limit ?? 0));
      const details = { node, movePercent, turn, scale };
      return over === undefined ? [] : [{ over, also, details }];
    });
    const [first] = found;
    if (first === undefined) return judged('nodes', meshNodes.length, []);
    return judgedAsOne('nodes', meshNodes.length, {
      level: 'note',
      place: { kind: 'node', node: first.details.node },
      places: found.map(({ details }) => ({ kind: 'node', node: details.node })),
      aspect: first.over.unit,
      ...first.over,
      also: first.also.map(({ measured, unit }) => ({ measured, unit })),
      details: { ...first.details, more: found.length - 1 },
    });
  },
  say({ details: { node, movePercent, turn, scale, more }, unit, limit }, words) {
    const bound = unit === 'degrees' ? words.degrees(limit ?? 0) : `${limit} ${unit}`;
    const factors = scale.map((part) => words.number(part));
    const scaled = new Set(factors).size === 1 ? factors[0] : factors.join(' x ');
    const parts = [
      ...(movePercent < LEAST_PERCENT ? [] : [`moved ${words.percent(movePercent)} of size`]),
      ...(words.degrees(turn) === words.degrees(0) ? [] : [`turned ${words.degrees(turn)}`]),
      ...(scaled === words.number(1) ? [] : [`scaled ${scaled}`]),
    ];
    const others =
      more > 0 ? ` The same is true of ${words.count(more, 'more mesh node')} of the rig.` : '';
    return {
      message: `The skinned mesh node ${words.node(node)} has a transform of its own, which viewers ignore: ${parts.join(', ')} (limit ${bound}).${others}`,
      remedy: 'Apply or clear the transform before export. What viewers show does not change.',
    };
  },
});
