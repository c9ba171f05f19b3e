import type { PageData } from '../page-data.js';
import { curlControls } from './curl-controls.js';
import { el } from './dom.js';
import { takeHands } from './hands.js';
import type { Curl } from './pose-bones.js';
import { addFigureStyle } from './view-style.js';
import { makeViewer, type Viewer } from './viewer.js';

/**
 * Fills `holder` with a view of one packed rig and the curl of its chains, and nothing else: for a page that
 * teaches. Several stand on one page. `begin` is how the chain is curled at first. Null, with `holder` left
 * as it is, where the browser gives no WebGL.
 */
export function mountCurl(
  holder: HTMLElement,
  data: PageData,
  begin: Partial<Curl> = { chain: 0 },
): Viewer | null {
  addFigureStyle();
  const [stage, controls] = [
    el('div', { class: 'view-stage' }),
    el('div', { class: 'view-controls' }),
  ];
  const before = [...holder.childNodes];
  // In place before it is filled: an element outside the page has no size.
  holder.replaceChildren(stage, controls);
  const viewer = makeViewer(data, undefined, stage);
  if (viewer === null) {
    holder.replaceChildren(...before);
    return null;
  }
  const { element, update } = curlControls(viewer, 0);
  controls.append(element);
  viewer.onChange(update);
  takeHands(viewer, viewer.choose);
  viewer.setCurl(0, begin);
  return viewer;
}
