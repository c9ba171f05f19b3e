import { drawBones } from './bones.js';
import type { RigShape } from './rig-shape.js';
import { makeSilhouette } from './silhouette.js';
import { drawing, element } from './svg.js';
import { shortName } from './text-size.js';
import { centreOf, fitFactor, type Point, project, shownSize, VIEWS } from './view.js';
import { EDGE } from './view-picture.js';

const WIDTH = 160;
const HEIGHT = 120;
const MARGIN = 8;

/** Letters of the outline; the whole picture stays under 6 KB. */
const LETTERS = 5000;

/** The largest rig from the front, small: its outline, or its bones where it has no mesh. */
export function drawSmallSilhouette(shapes: readonly RigShape[], name: string): string {
  const [shape = null] = [...shapes].sort((a, b) => weight(b) - weight(a));
  const label = `Outline of ${shortName(name)} from the front`;
  const content = shape === null ? '' : outlineOf(shape);
  return drawing('small', label, [-WIDTH / 2, -HEIGHT / 2, WIDTH, HEIGHT], content);
}

function weight({ mesh, joints }: RigShape): number {
  return mesh.triangles.length * 1e6 + joints.length;
}

function outlineOf({ bounds, mesh, joints }: RigShape): string {
  const [view] = VIEWS;
  const [across, down] = shownSize(bounds, view);
  const fit = fitFactor([WIDTH - 2 * MARGIN, HEIGHT - 2 * MARGIN], [across, down]);
  const scale = Number.isFinite(fit) ? fit : 1;
  const projection = { view, centre: centreOf(bounds), scale };
  const { body } = makeSilhouette(mesh, projection, [across * scale, down * scale], {
    bodyLetters: LETTERS,
    creaseLetters: 0,
  });
  if (body !== '') return element('path', { class: 'drawing-body', 'stroke-width': EDGE, d: body });
  const placeOf = (joint: number): Point | null => {
    const place = joints[joint]?.place ?? null;
    return place === null ? null : project(projection, place);
  };
  return drawBones(joints.slice(0, MOST_BONES), placeOf);
}

/** Bones of a rig without a mesh, so that the picture stays small. */
const MOST_BONES = 150;
