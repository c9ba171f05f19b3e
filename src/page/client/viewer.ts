import { Box3, Matrix4, Vector3 } from 'three';
import type { AssetReport } from '../../report/report-types.js';
import type { PageData } from '../page-data.js';
import type { Side } from './eye.js';
import { makeGlass } from './glass.js';
import { type LiveRig, makeRig, placeOf, settle } from './live-rig.js';
import { makeMarks } from './marks.js';
import { outline } from './outline.js';
import { drawOverlay, isSame, type JointOf } from './overlay.js';
import { type Curl, type Pose, pose } from './pose.js';
import { makePoser, type Poser } from './poser.js';
import { makeStage, type Stage } from './stage.js';
import { readTheme, sRgb } from './theme.js';

/** The view of one asset: what it shows, and all that can be done to it. */
export interface Viewer {
  readonly rigs: readonly LiveRig[];
  readonly stage: Stage;
  /** World of the stage from that of the file. */
  readonly world: Matrix4;
  /** For asking; it is set by `setPose` and `setCurl`, which draw. */
  readonly poser: Omit<Poser, 'setPose' | 'setCurl'>;
  setPose(rig: number, how: Pose): void;
  setCurl(rig: number, change: Partial<Curl>): void;
  chosen(): JointOf | null;
  /** Rig whose controls are shown. */
  rig(): number;
  chooseRig(rig: number): void;
  /** Marks a joint, or none, without moving the eye. */
  choose(joint: JointOf | null): void;
  hover(joint: JointOf | null): void;
  /** Marks a joint and moves until it is in the middle. */
  flyTo(joint: JointOf): Promise<void>;
  look(side: Side | null): void;
  showAllAxes(on: boolean): void;
  allAxes(): boolean;
  /** Calls back after anything but the eye has changed. */
  onChange(listener: () => void): void;
}

/** Fills `holder` with the view. Null where the browser gives no WebGL. */
export function makeViewer(
  data: PageData,
  asset: AssetReport | undefined,
  holder: HTMLElement,
): Viewer | null {
  const glass = makeGlass();
  const rigs = data.rigs.map((rig, index) => makeRig(rig, asset?.rigs[index], glass));
  const world = unitWorld(rigs);
  const poser = makePoser(rigs, world);
  const marks = makeMarks(asset, rigs.length);
  const listeners: (() => void)[] = [];
  const now = { rig: 0, allAxes: false, chosen: none(), hovered: none(), theme: readTheme() };

  const stage = makeStage(holder, (context, sight) => {
    const { chosen, hovered, allAxes, rig, theme } = now;
    const joints = rigs[rig]?.data.chains[poser.curl(rig).chain]?.joints;
    const chain = joints && { rig, joints, compared: poser.compared(rig) };
    const pen = { context, sight, theme };
    drawOverlay(pen, { rigs, marks, chosen, hovered, allAxes, chain });
  });
  if (stage === null) return null;
  for (const rig of rigs) for (const layers of rig.meshes) stage.scene.add(...layers);
  const tint = (): void => glass.tint(sRgb(now.theme.ink));
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => {
    now.theme = readTheme();
    tint();
    stage.draw();
  });
  tint();
  stage.eye.whole(outline(rigs), null);

  const changed = (): void => {
    stage.draw();
    for (const listener of listeners) listener();
  };
  const choose = (joint: JointOf | null): void => {
    now.chosen = joint;
    if (joint !== null) now.rig = joint.rig;
    changed();
  };
  return {
    rigs,
    stage,
    world,
    poser,
    setPose(rig, how) {
      poser.setPose(rig, how);
      changed();
    },
    setCurl(rig, change) {
      poser.setCurl(rig, change);
      changed();
    },
    chosen: () => now.chosen,
    rig: () => now.rig,
    chooseRig(rig) {
      now.rig = rig;
      changed();
    },
    choose,
    hover(joint) {
      if (isSame(now.hovered, joint)) return;
      now.hovered = joint;
      stage.draw();
    },
    async flyTo(joint) {
      choose(joint);
      const rig = rigs[joint.rig];
      if (rig === undefined) return;
      await stage.eye.flyTo(() => placeOf(rig, joint.joint), reachOf(rig, joint.joint));
    },
    look: (side) => stage.eye.whole(outline(rigs), side),
    showAllAxes(on) {
      now.allAxes = on;
      changed();
    },
    allAxes: () => now.allAxes,
    onChange: (listener) => listeners.push(listener),
  };
}

function none(): JointOf | null {
  return null;
}

/** Around a joint a flight leaves at least this much of the whole in sight, and at most. */
const [LEAST_REACH, MOST_REACH] = [0.06, 0.5];
/** Of the longest bone at the joint. */
const BONES_SHOWN = 2;

/** How much around a joint is shown. World of the stage. */
function reachOf(rig: LiveRig, joint: number): number {
  const at = placeOf(rig, joint);
  const near = rig.data.jointParents.flatMap((parent, other) =>
    parent === joint ? [other] : other === joint && parent !== -1 ? [parent] : [],
  );
  const longest = Math.max(0, ...near.map((other) => placeOf(rig, other).distanceTo(at)));
  const reach = longest > 0 ? BONES_SHOWN * longest : MOST_REACH / 2;
  return Math.min(MOST_REACH, Math.max(LEAST_REACH, reach));
}

/** Takes all rigs, as stored, to the middle of the stage and to a diagonal of one. */
function unitWorld(rigs: readonly LiveRig[]): Matrix4 {
  for (const rig of rigs) {
    pose(rig, { kind: 'rest' });
    settle(rig, new Matrix4());
  }
  const box = new Box3().setFromPoints(outline(rigs));
  const diagonal = box.min.distanceTo(box.max);
  const scale = diagonal > 0 && Number.isFinite(diagonal) ? 1 / diagonal : 1;
  const centre = box.isEmpty() ? new Vector3() : box.getCenter(new Vector3());
  return new Matrix4().makeScale(scale, scale, scale).setPosition(centre.multiplyScalar(-scale));
}
