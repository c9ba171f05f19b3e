import type { AssetReport } from '../../report/report-types.js';
import { recordOf } from './bench.js';
import type { PageLinks } from './page-buttons.js';
import type { Pose } from './pose-bones.js';
import type { Viewer } from './viewer.js';

/** The live view, and what leads into it. */
export interface View {
  readonly viewer: Viewer;
  readonly links: PageLinks;
}

/** What a reader sees, kept while the page is loaded again: by names, since indices change with an export. */
interface Kept {
  readonly eye: ReturnType<Viewer['stage']['eye']['stance']>;
  readonly rig: number;
  readonly allAxes: boolean;
  readonly readsAlong: boolean;
  /** Path of the joint that is ringed, and the finding that led there. */
  readonly joint: string | null;
  readonly finding: string | null;
  /** The clip of the rig and its time; null where none poses it. */
  readonly clip: { readonly name: string; readonly seconds: number } | null;
  readonly curl: ReturnType<Viewer['curl']>;
  /** First and last joint of the chain that is curled. */
  readonly chain: readonly (string | undefined)[];
  readonly isOpen: boolean;
}

/** Where the page stands: something that is known by name, and how far below the top of the window. */
interface Place {
  readonly key: string;
  readonly top: number;
}

/** Places that are kept. */
const MOST_PLACES = 30;
const ON_PICTURE = '#picture';

/** Keeps what a reader sees, and takes it up again after the page was loaded again. */
export function makeKeeper(asset: AssetReport | undefined) {
  const articles = [...document.querySelectorAll<HTMLElement>('article.finding')];
  const identityOf = (article: HTMLElement): string =>
    asset?.findings[Number(article.dataset.finding)]?.identity ?? '';
  const spots = [
    ...articles.map((element) => ({ key: `finding ${identityOf(element)}`, element })),
    ...[...document.querySelectorAll<HTMLElement>('main section[id]')].map((element) => ({
      key: `section ${element.id}`,
      element,
    })),
  ];
  const before = recordOf(recordOf(history.state).kept);
  history.scrollRestoration = 'manual';

  /** What is nearest to where people read, the nearest first: what was mended is gone afterwards. */
  const places = (): Place[] => {
    if (scrollY === 0) return [];
    const line = innerHeight / 4;
    return spots
      .map(({ key, element }) => ({ key, top: element.getBoundingClientRect().top }))
      .sort((a, b) => Math.abs(a.top - line) - Math.abs(b.top - line))
      .slice(0, MOST_PLACES);
  };
  const scrollBack = (): void => {
    // It was made by `places` of this page, before it was loaded again.
    for (const { key, top } of (before.places ?? []) as Place[]) {
      const spot = spots.find((other) => other.key === key);
      if (spot === undefined) continue;
      scrollTo({ top: scrollY + spot.element.getBoundingClientRect().top - top });
      return;
    }
    if (typeof before.scroll === 'number') scrollTo({ top: before.scroll });
  };
  /** What has the keyboard's focus: the picture, or the finding that it is in; null for anything else. */
  const focused = (): string | null => {
    const { activeElement } = document;
    if (activeElement?.closest('#view-stage') != null) return ON_PICTURE;
    const article = activeElement?.closest<HTMLElement>('article.finding') ?? null;
    return article && identityOf(article);
  };
  return {
    /** Keeps it all; without a view, what was kept of that the last time. */
    keep(view: View | null): void {
      const kept = {
        places: places(),
        scroll: scrollY,
        focus: focused(),
        view: view === null ? before.view : keptView(view, asset),
      };
      history.replaceState({ ...recordOf(history.state), kept }, '');
    },
    /** Goes back to where the reader was, before there is a view. */
    resumePlace(): void {
      scrollBack();
      const { focus = null } = before;
      if (focus !== null)
        articles.find((article) => identityOf(article) === focus)?.focus({ preventScroll: true });
    },
    resumeView(view: View): void {
      // It was made by `keptView` of this page, before it was loaded again.
      if (before.view != null) resumeView(before.view as Kept, view, asset);
      if (before.focus === ON_PICTURE) view.viewer.stage.canvas.focus({ preventScroll: true });
    },
  };
}

function keptView({ viewer, links }: View, asset: AssetReport | undefined): Kept {
  const rig = viewer.rig();
  const pathOf = (joint: number | undefined): string | undefined =>
    asset?.rigs[rig]?.joints[joint ?? -1]?.path;
  const pose = viewer.pose(rig);
  const curl = viewer.curl(rig);
  const joints = viewer.rigs[rig]?.data.chains[curl.chain]?.joints ?? [];
  const chosen = viewer.chosen();
  const finding = links.chosen()?.finding ?? null;
  return {
    eye: viewer.stage.eye.stance(),
    rig,
    allAxes: viewer.allAxes(),
    readsAlong: viewer.readsAlong(),
    joint: (chosen && pathOf(chosen.joint)) ?? null,
    finding: finding === null ? null : (asset?.findings[finding]?.identity ?? null),
    clip:
      pose.kind === 'clip'
        ? { name: viewer.rigs[rig]?.clips[pose.clip]?.name ?? '', seconds: pose.seconds }
        : null,
    curl,
    chain: [pathOf(joints[0]), pathOf(joints.at(-1))],
    isOpen: document.getElementById('view-more')?.hasAttribute('open') ?? true,
  };
}

function resumeView(kept: Kept, { viewer, links }: View, asset: AssetReport | undefined): void {
  const rig = kept.rig < viewer.rigs.length ? kept.rig : 0;
  const live = viewer.rigs[rig];
  const paths = asset?.rigs[rig]?.joints.map(({ path }) => path) ?? [];
  viewer.chooseRig(rig);
  viewer.showAllAxes(kept.allAxes);
  viewer.setReadsAlong(kept.readsAlong);
  const [first, last] = kept.chain.map((path) => (path === undefined ? -1 : paths.indexOf(path)));
  const chain = (live?.data.chains ?? []).findIndex(
    ({ joints }) => joints[0] === first && joints.at(-1) === last,
  );
  if (chain !== -1) viewer.setCurl(rig, { ...kept.curl, chain });
  const clip = (live?.clips ?? []).findIndex(({ name }) => name === kept.clip?.name);
  const pose: Pose | null =
    clip === -1 || kept.clip === null ? null : { kind: 'clip', clip, seconds: kept.clip.seconds };
  if (pose !== null) viewer.setPose(rig, pose);
  const joint = kept.joint === null ? -1 : paths.indexOf(kept.joint);
  const finding = asset?.findings.findIndex(({ identity }) => identity === kept.finding) ?? -1;
  if (joint !== -1) links.resume({ rig, joint, finding: finding === -1 ? null : finding });
  viewer.stage.eye.take(kept.eye);
  links.rest();
  document.getElementById('view-more')?.toggleAttribute('open', kept.isOpen);
}
