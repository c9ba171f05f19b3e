// Source: three.js (npm `three`): its own products of matrices down a tree (`Object3D.matrixWorld`),
// its orthographic camera, and its skinning (`SkinnedMesh.getVertexPosition`). The hands come from
// npm `@webxr-input-profiles/assets`, profile generic-hand.
import { Matrix4, Object3D, OrthographicCamera, Vector3 } from 'three';
import { beforeAll, describe, expect, it } from 'vitest';
import { buildGlb } from '../../fixtures/build.js';
import { castNames } from '../../fixtures/cast/index.js';
import { faultNamed } from '../../fixtures/faults/index.js';
import { layoutRig, type ViewCell } from '../../src/draw/rig-layout.js';
import { makeRigShape } from '../../src/draw/rig-shape.js';
import type { RigScene } from '../../src/draw/scene.js';
import { drawSheet } from '../../src/draw/sheet.js';
import { approvedOf } from '../support/approved-of.js';
import { modelOf } from '../support/facts-of.js';
import { handBytes } from '../support/hands.js';
import { loadInThree } from '../support/three-scene.js';
import { type Drawable, drawable, hasClass, readSvg } from './drawn.js';
import { isInside, ringsOf } from './path-reader.js';

/** Coordinates are written with one decimal. Picture units. */
const ROUNDING = 0.0501;

/** An outline is traced on pixels of about one unit and simplified. Picture units. */
const PIXEL = 1.6;

const WAVING = faultNamed('stored-in-a-wave');

const assets: readonly (readonly [string, () => Uint8Array])[] = [
  ...castNames.map((name) => [name, () => buildGlb(name)] as const),
  ['a puppet stored in a pose', () => buildGlb(WAVING.puppet, { faults: [WAVING] })],
  ['left hand', () => handBytes('left')],
];

/** Where the view's camera stands, and what is up in it, by the words of the sheet's titles. */
const CAMERAS = {
  front: { from: new Vector3(0, 0, 1), up: new Vector3(0, 1, 0) },
  side: { from: new Vector3(1, 0, 0), up: new Vector3(0, 1, 0) },
  top: { from: new Vector3(0, 1, 0), up: new Vector3(0, 0, -1) },
} as const;

/** How three's camera sees points, in picture units about the middle of the view. */
function viewer({ projection }: ViewCell): (point: Vector3) => [number, number] {
  const half = 1 / projection.scale;
  const camera = new OrthographicCamera(-half, half, half, -half, -1e6, 1e6);
  const { from, up } = CAMERAS[projection.view.name];
  const centre = new Vector3(...projection.centre);
  camera.up.copy(up);
  camera.position.copy(centre).add(from);
  camera.lookAt(centre);
  camera.updateMatrixWorld(true);
  return (point) => {
    const { x, y } = point.clone().project(camera);
    return [x, -y];
  };
}

/** World places of the joints, by three's tree. */
function placesInThree(rig: RigScene): Vector3[] {
  const objects = rig.nodes.map(({ local }) => {
    const object = new Object3D();
    object.matrixAutoUpdate = false;
    object.matrix.copy(new Matrix4().fromArray([...local]));
    return object;
  });
  rig.nodes.forEach(({ parent }, node) => {
    const [above, own] = [objects[parent], objects[node]];
    if (above !== undefined && own !== undefined) above.add(own);
  });
  rig.nodes.forEach(({ parent }, node) => {
    if (parent === -1) objects[node]?.updateMatrixWorld(true);
  });
  return rig.jointNodes.map((node) =>
    new Vector3().setFromMatrixPosition(objects[node]?.matrixWorld ?? new Matrix4()),
  );
}

describe.each(assets)('%s', (_, make) => {
  let bytes: Uint8Array;
  let drawn: Drawable;
  beforeAll(async () => {
    bytes = make();
    drawn = await drawable(bytes);
  });

  it('has its joints where an orthographic camera of three.js sees them', async () => {
    const { scene, report } = drawn;
    const [rig] = scene.rigs;
    if (rig === undefined) throw new Error('no rig');
    const { cells } = layoutRig(makeRigShape(0, rig, report.rigs[0]));
    const dots = readSvg(drawSheet(scene, report)).filter(
      ({ attributes }) => attributes['data-joint'] !== undefined,
    );
    const places = placesInThree(rig);
    expect(dots).toHaveLength(cells.length * places.length);
    cells.forEach((cell, view) => {
      const seen = viewer(cell);
      places.forEach((place, joint) => {
        const attributes = dots[view * places.length + joint]?.attributes ?? {};
        const [x, y] = seen(place);
        expect(attributes['data-joint']).toBe(String(joint));
        expect(Math.abs(Number(attributes.cx) - x)).toBeLessThan(ROUNDING);
        expect(Math.abs(Number(attributes.cy) - y)).toBeLessThan(ROUNDING);
      });
    });
  });

  it('has an outline that touches the box of the mesh as three.js skins and sees it', async () => {
    const { scene, report } = drawn;
    const [rig] = scene.rigs;
    if (rig === undefined) throw new Error('no rig');
    const { cells } = layoutRig(makeRigShape(0, rig, report.rigs[0]));
    const { triangles } = await meshInThree(bytes);
    for (const cell of cells) {
      const corners = triangles.flat().map(viewer(cell));
      const points = ringsOf(cell.silhouette.body).flat();
      for (const axis of [0, 1] as const) {
        for (const extreme of [Math.min, Math.max]) {
          const wanted = corners.reduce(
            (most, one) => extreme(most, one[axis]),
            corners[0]?.[axis] ?? 0,
          );
          const drawn = points.reduce(
            (most, one) => extreme(most, one[axis]),
            points[0]?.[axis] ?? 0,
          );
          expect(Math.abs(drawn - wanted)).toBeLessThan(PIXEL);
        }
      }
    }
  });
});

it('the outline is filled where a triangle is seen and empty where none is', async () => {
  const bytes = buildGlb('heron');
  const { scene, report } = await drawable(bytes);
  const [rig] = scene.rigs;
  if (rig === undefined) throw new Error('no rig');
  const { cells } = layoutRig(makeRigShape(0, rig, report.rigs[0]));
  const { triangles } = await meshInThree(bytes);
  for (const cell of cells) {
    const seen = viewer(cell);
    const covers = triangles.map((triangle) => coverOf(triangle.map(seen)));
    const rings = ringsOf(cell.silhouette.body);
    const covered: Cover = (x, y) => covers.some((cover) => cover(x, y));
    let [compared, filled] = [0, 0];
    const wrong: unknown[] = [];
    for (let x = -203; x <= 200; x += 13) {
      for (let y = -221; y <= 220; y += 13) {
        const middle = covered(x, y);
        const isEven = (dx: number, dy: number): boolean => covered(x + dx, y + dy) === middle;
        // On the edge a pixel decides.
        const steps = [-PIXEL, 0, PIXEL];
        if (!steps.every((dx) => steps.every((dy) => isEven(dx, dy)))) continue;
        if (isInside(rings, [x, y]) !== middle) wrong.push([x, y]);
        compared++;
        if (middle) filled++;
      }
    }
    expect(wrong).toEqual([]);
    expect(compared).toBeGreaterThan(500);
    expect(filled).toBeGreaterThan(20);
  }
});

/** Whether a flat triangle covers a point; its box is looked at first. */
function coverOf(corners: readonly (readonly [number, number])[]): Cover {
  const [xs, ys] = [corners.map(([x]) => x), corners.map(([, y]) => y)];
  const [left, right] = [Math.min(...xs), Math.max(...xs)];
  const [top, bottom] = [Math.min(...ys), Math.max(...ys)];
  return (x, y) =>
    x >= left && x <= right && y >= top && y <= bottom && isInside([corners], [x, y]);
}

type Cover = (x: number, y: number) => boolean;

/** Triangles of all meshes, skinned by three.js, world space. */
async function meshInThree(bytes: Uint8Array): Promise<{ triangles: Vector3[][] }> {
  const { meshes } = await loadInThree(bytes);
  const triangles: Vector3[][] = [];
  for (const { object } of meshes) {
    const { index } = object.geometry;
    if (index === null) throw new Error('a mesh without indices');
    const corner = (at: number): Vector3 =>
      object.getVertexPosition(index.getX(at), new Vector3()).applyMatrix4(object.matrixWorld);
    for (let at = 0; at + 2 < index.count; at += 3)
      triangles.push([corner(at), corner(at + 1), corner(at + 2)]);
  }
  return { triangles };
}

it('the dashed bones are where the camera of three.js sees the joints of the approved file', async () => {
  const approved = buildGlb('heron');
  const bytes = buildGlb('heron', { faults: [faultNamed('neck-in-the-air')] });
  const { scene, report } = await drawable(bytes, 'heron.glb', {}, await approvedOf(approved));
  const [rig] = scene.rigs;
  const theirs = await modelOf(approved);
  const joints = theirs.rigs[0]?.joints;
  if (rig === undefined || joints === undefined) throw new Error('no rig');
  const { nodes } = await loadInThree(approved);
  // Of one size and with one root: the approved file's own world is that of the sheet.
  const place = (joint: number): Vector3 =>
    new Vector3().setFromMatrixPosition(
      nodes.get(joints.node[joint] ?? -1)?.matrixWorld ?? new Matrix4(),
    );
  const moved = joints.names.indexOf('neck_mid');
  const { cells } = layoutRig(makeRigShape(0, rig, report.rigs[0]));
  const elements = readSvg(drawSheet(scene, report));
  const inPath = (name: string, view: number): number[][] =>
    [
      ...(elements.filter((one) => hasClass(one, name))[view]?.attributes.d ?? '').matchAll(
        /(-?[\d.]+) (-?[\d.]+)/g,
      ),
    ].map(([, x, y]) => [Number(x), Number(y)]);
  cells.forEach((cell, view) => {
    const seen = viewer(cell);
    const wanted = [...joints.parent].flatMap((parent, joint) =>
      parent === -1 ? [] : [seen(place(parent)), seen(place(joint))],
    );
    const drawn = inPath('drawing-approved', view);
    expect(drawn).toHaveLength(wanted.length);
    const off = drawn.map(([x = 0, y = 0], at) => {
      const [right = 0, down = 0] = wanted[at] ?? [];
      return Math.max(Math.abs(x - right), Math.abs(y - down));
    });
    expect(Math.max(...off)).toBeLessThan(ROUNDING);
    // One square, about the approved joint that the rig has elsewhere.
    const corners = inPath('drawing-approved-joint', view);
    expect(corners).toHaveLength(4);
    const [x, y] = seen(place(moved));
    expect(mean(corners.map(([right = 0]) => right)) - x).toBeCloseTo(0, 0);
    expect(mean(corners.map(([, down = 0]) => down)) - y).toBeCloseTo(0, 0);
  });
});

function mean(numbers: readonly number[]): number {
  return numbers.reduce((sum, number) => sum + number, 0) / numbers.length;
}
