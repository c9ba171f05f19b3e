import type { AssetReport, Report } from '../../report/report-types.js';
import type { PageData } from '../page-data.js';
import { keepPresses } from './ahead.js';
import { keepCurrent } from './bench.js';
import { makeControls } from './controls.js';
import { makeHandle } from './handle.js';
import { takeHands } from './hands.js';
import { makeKeeper, type View } from './keep-view.js';
import { linkPage } from './page-buttons.js';
import { showPairs } from './pair/show-pairs.js';
import { addViewStyle } from './view-style.js';
import { makeViewer } from './viewer.js';
import { whenIdle } from './when-idle.js';

/** Makes the view: false where the browser gives no WebGL, null where there is nothing to show. */
type MakeView = () => boolean | null;

// On a phone the findings come before all that can be set.
if (matchMedia('(max-width: 44rem)').matches)
  document.getElementById('view-more')?.removeAttribute('open');
// Folded parts would be missing on paper.
addEventListener('beforeprint', () => {
  for (const folded of document.querySelectorAll('details')) folded.open = true;
});
addViewStyle();
guarded(() => {
  const make = document.getElementById('pair-data') === null ? readyRig() : readyPairs();
  // Text, findings and pictures are of use before the view, which takes longest to make.
  const begin = whenIdle(() =>
    guarded(() => {
      settle(make());
      presses.done();
    }),
  );
  const presses = keepPresses(begin);
});

/** Without a view the page is still of use; the console shows the fault. */
function guarded(work: () => void): void {
  try {
    work();
  } catch (error) {
    console.error(error);
    settle(false);
  }
}

/** Says on the page whether the view stands; its layout follows. */
function settle(made: boolean | null): void {
  const { documentElement: root } = document;
  document.getElementById('view')?.toggleAttribute('hidden', made !== true);
  if (made !== null) document.getElementById('view-fallback')?.toggleAttribute('hidden', made);
  root.dataset.view = made === true ? 'live' : 'none';
  delete root.dataset.ahead;
}

/** The view of both rigs of a mend. */
function readyPairs(): MakeView {
  return () => showPairs(byId('pair-data').textContent, byId);
}

/** The view of the rigs of one asset, and what a page that is kept current does before it stands. */
function readyRig(): MakeView {
  // Both blocks were written into this file together with this script, by one version of the tool.
  const [asset] = (JSON.parse(byId('report').textContent) as Report).assets;
  const section = document.getElementById('live');
  const keeper = section === null ? null : makeKeeper(asset);
  let view: View | null = null;
  if (section !== null && keeper !== null) {
    keeper.resumePlace();
    addEventListener('pagehide', () => keeper.keep(view));
    keepCurrent(section, () => keeper.keep(view));
  }
  return () => {
    const data = JSON.parse(byId('page-data').textContent) as PageData;
    // An asset without a rig has nothing to show: no view, and no word about it.
    if (data.rigs.length === 0) return null;
    view = showView(data, asset);
    settle(view !== null);
    if (view !== null) keeper?.resumeView(view);
    // The page has other columns without a view.
    else keeper?.resumePlace();
    return view !== null;
  };
}

/** Builds the live view; null where the browser gives no WebGL. */
function showView(data: PageData, asset: AssetReport | undefined): View | null {
  const section = byId('view');
  // Shown before it is filled: a hidden element has no size.
  section.hidden = false;
  const viewer = makeViewer(data, asset, byId('view-stage'));
  if (viewer === null) return null;
  makeControls(viewer, byId('view-controls'));
  const links = linkPage(viewer, asset, section, byId('view-word'));
  takeHands(viewer, links.mark);
  Object.assign(globalThis, { trysquareView: makeHandle(viewer) });
  return { viewer, links };
}

function byId(id: string): HTMLElement {
  const element = document.getElementById(id);
  if (element === null) throw new Error(`the page has no element #${id}`);
  return element;
}
