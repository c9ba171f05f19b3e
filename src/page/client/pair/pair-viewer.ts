import type { PagePair, PairData } from '../../mended/pair-data.js';
import type { Side } from '../eye.js';
import { makeGlass } from '../glass.js';
import { placeOf } from '../live-bones.js';
import { type LiveRig, makeRig } from '../live-rig.js';
import { isSame, type JointOf } from '../overlay.js';
import { makePoser } from '../pose.js';
import type { Pose } from '../pose-bones.js';
import { outline } from '../posed-points.js';
import { makeStage } from '../stage.js';
import { readTheme, sRgb } from '../theme.js';
import { reachOf, unitWorld } from '../viewer.js';
import { drawSide, type SideShown } from './pair-overlay.js';

/** The divided view of a mend: the rigs before at the left of a line, those after at its right. */
export type PairViewer = NonNullable<ReturnType<typeof makePairViewer>>;

/** Fills `holder` with the view. Null where the browser gives no WebGL. */
export function makePairViewer({ pairs }: PairData, holder: HTMLElement) {
  const glass = makeGlass();
  const rigsOf = (side: 0 | 1): LiveRig[] =>
    pairs.map(({ sides }) => makeRig(sides[side].rig, sides[side], glass));
  const sides = [rigsOf(0), rigsOf(1)] as const;
  const rigs = sides.flat();
  const world = unitWorld(rigs);
  const poser = makePoser(rigs, world);
  const listeners: (() => void)[] = [];
  let [rig, axes, split, theme] = [0, true, 0.5, readTheme()];
  let chosen: JointOf | null = null;
  let hovered: JointOf | null = null;

  const changedOf = (side: 0 | 1): ReadonlySet<number>[] =>
    pairs.map(({ changed: joints }) => new Set(joints.map((joint) => joint[side])));
  const marked = [changedOf(0), changedOf(1)] as const;
  const shown = (side: 0 | 1): SideShown => ({
    rigs: sides[side],
    changed: marked[side],
    chosen: onSide(pairs, chosen, side),
    hovered: isSame(hovered, chosen) ? null : onSide(pairs, hovered, side),
  });
  const stage = makeStage(
    holder,
    (context, sight) => {
      context.clearRect(0, 0, sight.width, sight.height);
      context.lineCap = 'round';
      context.lineJoin = 'round';
      const pen = { context, sight, theme };
      const line = split * sight.width;
      drawSide(pen, shown(0), [0, line], axes);
      drawSide(pen, shown(1), [line, sight.width], axes);
    },
    (renderer, scene, camera, [width, height]) => {
      const line = Math.round(split * width);
      renderer.setScissorTest(true);
      sides.forEach((list, at) => {
        for (const [other, ofSide] of sides.entries())
          for (const { meshes } of ofSide)
            for (const layer of meshes.flat()) layer.visible = other === at;
        const [from, across] = at === 0 ? [0, line] : [line, width - line];
        if (across <= 0 || list.length === 0) return;
        renderer.setScissor(from, 0, across, height);
        renderer.render(scene, camera);
      });
      renderer.setScissorTest(false);
    },
  );
  if (stage === null) return null;
  for (const { meshes } of rigs) for (const layers of meshes) stage.scene.add(...layers);
  const tint = (): void => {
    theme = readTheme();
    glass.tint(sRgb(theme.ink));
    stage.draw();
  };
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', tint);
  tint();
  const look = (side: Side | null): void => stage.eye.whole(outline(rigs), side);
  look(null);

  const changed = (): void => {
    stage.draw();
    for (const listener of listeners) listener();
  };
  const choose = (joint: JointOf | null): void => {
    chosen = joint;
    if (joint !== null) rig = joint.rig;
    changed();
  };
  return {
    rigs: sides[0],
    sides,
    stage,
    world,
    look,
    choose,
    chosen: (): JointOf | null => chosen,
    rig: () => rig,
    chooseRig(index: number): void {
      rig = index;
      changed();
    },
    pose: poser.pose,
    /** Poses a rig alike on both sides. */
    setPose(index: number, how: Pose): void {
      for (const at of [index, index + pairs.length]) poser.setPose(at, how);
      changed();
    },
    hover(joint: JointOf | null): void {
      if (isSame(hovered, joint)) return;
      hovered = joint;
      stage.draw();
    },
    async flyTo(joint: JointOf): Promise<void> {
      choose(joint);
      const live = sides[0][joint.rig];
      if (live === undefined) return;
      await stage.eye.flyTo(() => placeOf(live, joint.joint), reachOf(live, joint.joint));
    },
    axes: () => axes,
    showAxes(on: boolean): void {
      axes = on;
      changed();
    },
    /** Share of the width at which the line stands: left of it is before. */
    split: () => split,
    setSplit(share: number): void {
      split = Math.min(1, Math.max(0, share));
      changed();
    },
    onChange(listener: () => void): void {
      listeners.push(listener);
    },
  };
}

/** A joint of before, on one side; null where it is none there. */
function onSide(pairs: readonly PagePair[], joint: JointOf | null, side: number): JointOf | null {
  if (joint === null || side === 0) return joint;
  const answer = pairs[joint.rig]?.answers[joint.joint] ?? -1;
  return answer === -1 ? null : { rig: joint.rig, joint: answer };
}
