import { Box3, Matrix4, Vector3 } from 'three';
import type { AssetReport } from '../../report/report-types.js';
import type { Vec3 } from '../../rig/vec3.js';
import type { PageData } from '../page-data.js';
import { makeApprovedView } from './approved-view.js';
import type { Side } from './eye.js';
import { makeFollower } from './follow-curl.js';
import { makeGlass } from './glass.js';
import type { Shown } from './live-approved.js';
import { placeOf, settle } from './live-bones.js';
import { type LiveRig, makeRig } from './live-rig.js';
import { makeMarks } from './marks.js';
import { drawOverlay, isSame, type JointOf } from './overlay.js';
import { makePoser, pose } from './pose.js';
import type { Curl } from './pose-bones.js';
import { outline } from './posed-points.js';
import { makeStage } from './stage.js';
import { readTheme, sRgb } from './theme.js';
import { type WorstMoment, worstMoment } from './worst-moment.js';

/** The view of one asset: what it shows, and all that can be done to it. */
export type Viewer = NonNullable<ReturnType<typeof makeViewer>>;

/** Fills `holder` with the view. Null where the browser gives no WebGL. */
export function makeViewer(data: PageData, asset: AssetReport | undefined, holder: HTMLElement) {
  const glass = makeGlass();
  const rigs = data.rigs.map((rig, index) => makeRig(rig, asset?.rigs[index], glass));
  const world = unitWorld(rigs);
  const poser = makePoser(rigs, world);
  const marks = makeMarks(asset, rigs.length);
  const listeners: (() => void)[] = [];
  let [rig, allAxes, theme] = [0, false, readTheme()];
  let chosen: JointOf | null = null;
  let hovered: JointOf | null = null;
  const { shown, show, places } = makeApprovedView(rigs, () => stage?.eye);

  const stage = makeStage(holder, (context, sight) => {
    const joints = rigs[rig]?.chains[poser.curl(rig).chain]?.joints;
    const worst = poser.curled(rig)?.worst ?? null;
    const chain = joints && { rig, joints, compared: comparedPlaces(rig), worst };
    const seen = { rigs, marks, chosen, hovered, allAxes, chain };
    drawOverlay({ context, sight, theme }, { ...seen, approved: places(null) });
  });
  if (stage === null) return null;
  for (const { meshes } of rigs) for (const layers of meshes) stage.scene.add(...layers);
  const tint = (): void => {
    glass.tint(sRgb(theme.ink));
  };
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => {
    theme = readTheme();
    tint();
    stage.draw();
  });
  tint();
  /** All that is shown, seen from a side. */
  const whole = (side: Side | null): void =>
    stage.eye.whole([...outline(rigs), ...places(side).flat()], side);
  whole(null);

  const onStage = ([x, y, z]: Vec3): Vector3 => new Vector3(x, y, z).applyMatrix4(world);
  /** Where the joints of the curled chain would be with the frames that are not drawn. */
  const comparedPlaces = (index: number): Vector3[] => {
    const curled = poser.curled(index);
    const places = poser.curl(index).frames === 'own' ? curled?.carried : curled?.own;
    return (places ?? []).map(onStage);
  };
  const follower = makeFollower(stage);
  const follow = (): void => {
    const curled = poser.curled(rig);
    if (curled === null) return;
    const [own, carried] = [curled.own.map(onStage), curled.carried.map(onStage)];
    follower.look({ own, carried }, curled);
  };
  stage.eye.onHand(() => {
    if (follower.isOn()) setFollows(false);
  });

  const changed = (): void => {
    stage.draw();
    for (const listener of listeners) listener();
  };
  /** The same act, after which the view is drawn and the listeners are called. */
  const withChange =
    <Given extends unknown[]>(act: (...given: Given) => void) =>
    (...given: Given): void => {
      act(...given);
      changed();
    };
  const setFollows = withChange((on: boolean) => {
    follower.set(on);
    if (on) follow();
  });
  const choose = withChange((joint: JointOf | null) => {
    chosen = joint;
    if (joint !== null) rig = joint.rig;
  });
  return {
    rigs,
    stage,
    /** World of the stage from that of the file. */
    world,
    ...poser,
    setPose: withChange(poser.setPose),
    setCurl: withChange((index: number, change: Partial<Curl>) => {
      poser.setCurl(index, change);
      if (index === rig) follow();
    }),
    comparedPlaces,
    /** Whether the view turns to what leaves its place as a chain is curled. */
    follows: follower.isOn,
    setFollows,
    chosen: (): JointOf | null => chosen,
    /** Rig whose controls are shown. */
    rig: () => rig,
    chooseRig: withChange((index: number) => {
      rig = index;
    }),
    /** Marks a joint, or none, without moving the eye. */
    choose,
    hover(joint: JointOf | null): void {
      if (isSame(hovered, joint)) return;
      hovered = joint;
      stage.draw();
    },
    /** Marks a joint and moves until it is in the middle. */
    async flyTo(joint: JointOf): Promise<void> {
      choose(joint);
      const live = rigs[joint.rig];
      if (live === undefined) return;
      await stage.eye.flyTo(() => placeOf(live, joint.joint), reachOf(live, joint.joint));
    },
    look(side: Side | null): void {
      if (side !== null) setFollows(false);
      whole(side);
    },
    approvedShown: shown,
    /** Shows the approved rig, and all of both. */
    showApproved: withChange((how: Shown) => {
      show(how);
      whole(null);
    }),
    /** Where the joints of the approved rig are shown. World of the stage. */
    approvedPlaces: (index: number) => places(null)[index] ?? [],
    /**
     * Poses a rig as it parts most from the approved one, in the clip that it is posed by where that was
     * made for the approved rig, else in all that were; marks the joint. Null where none shows a difference.
     */
    goToWorst(index: number): WorstMoment | null {
      const { clips = [] } = rigs[index] ?? {};
      const before = poser.pose(index);
      const chosen = before.kind === 'clip' && clips[before.clip]?.isApproved === true;
      const worst = worstMoment(clips, chosen ? [before.clip] : [...clips.keys()]);
      if (worst !== null)
        poser.setPose(index, { kind: 'clip', clip: worst.clip, seconds: worst.seconds });
      choose(worst && { rig: index, joint: worst.joint });
      return worst;
    },
    showAllAxes: withChange((on: boolean) => {
      allAxes = on;
    }),
    allAxes: () => allAxes,
    /** Calls back after anything but the eye has changed. */
    onChange(listener: () => void): void {
      listeners.push(listener);
    },
  };
}

/** Around a joint a flight leaves at least this much of the whole in sight, and at most. */
const [LEAST_REACH, MOST_REACH] = [0.06, 0.5];
/** Of the longest bone at the joint. */
const BONES_SHOWN = 2;

/** How much around a joint is shown. World of the stage. */
export function reachOf(rig: LiveRig, joint: number): number {
  const place = placeOf(rig, joint);
  const near = rig.data.jointParents.flatMap((parent, other) =>
    parent === joint ? [other] : other === joint && parent !== -1 ? [parent] : [],
  );
  const longest = Math.max(0, ...near.map((other) => placeOf(rig, other).distanceTo(place)));
  const reach = longest > 0 ? BONES_SHOWN * longest : MOST_REACH / 2;
  return Math.min(MOST_REACH, Math.max(LEAST_REACH, reach));
}

/** Moves all rigs, as stored, to the middle of the stage and scales them to a diagonal of 1. */
export function unitWorld(rigs: readonly LiveRig[]): Matrix4 {
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
