import type { AssetReport, Report } from '../../report/report-types.js';
import type { PageData } from '../page-data.js';
import { makeControls } from './controls.js';
import { makeHandle } from './handle.js';
import { takeHands } from './hands.js';
import { linkPage } from './page-buttons.js';
import { showPairs } from './pair/show-pairs.js';
import { addViewStyle } from './view-style.js';
import { makeViewer } from './viewer.js';

let live = false;
try {
  const pairs = document.getElementById('pair-data');
  if (pairs !== null) {
    live = showPairs(pairs.textContent, byId);
    byId('view-fallback').hidden = live;
  } else {
    // Both blocks were written into this file together with this script, by one version of the tool.
    const data = JSON.parse(byId('page-data').textContent) as PageData;
    const report = JSON.parse(byId('report').textContent) as Report;
    // An asset without a rig has nothing to show: no view, and no word about it.
    if (data.rigs.length > 0) {
      live = showView(data, report.assets[0]);
      byId('view-fallback').hidden = live;
    }
  }
} catch (error) {
  // Without a view the page is still of use; the console shows the fault.
  console.error(error);
  byId('view-fallback').hidden = false;
}
if (!live) document.getElementById('view')?.setAttribute('hidden', '');
document.documentElement.dataset.view = live ? 'live' : 'none';
// Folded parts would be missing on paper.
addEventListener('beforeprint', () => {
  for (const folded of document.querySelectorAll('details')) folded.open = true;
});

/** Builds the live view; false where the browser gives no WebGL. */
function showView(data: PageData, asset: AssetReport | undefined): boolean {
  const section = byId('view');
  addViewStyle();
  // Shown before it is filled: a hidden element has no size.
  section.hidden = false;
  const viewer = makeViewer(data, asset, byId('view-stage'));
  if (viewer === null) return false;
  makeControls(viewer, byId('view-controls'));
  const links = linkPage(viewer, asset, section, byId('view-word'));
  takeHands(viewer, links.mark);
  // On a phone the findings come before all that can be set.
  const more = document.getElementById('view-more');
  if (matchMedia('(max-width: 44rem)').matches) more?.removeAttribute('open');
  Object.assign(globalThis, { trysquareView: makeHandle(viewer) });
  return true;
}

function byId(id: string): HTMLElement {
  const element = document.getElementById(id);
  if (element === null) throw new Error(`the page has no element #${id}`);
  return element;
}
