import { setText } from '../dom.js';
import { takeHands } from '../hands.js';
import type { JointOf } from '../overlay.js';
import { makePairControls } from './pair-controls.js';
import { makePairHandle } from './pair-handle.js';
import { addLine } from './pair-line.js';
import { makePairViewer, type PairViewer } from './pair-viewer.js';
import { readPairs } from './read-pairs.js';

/** Builds the view of a mend; false where the browser gives no WebGL. */
export function showPairs(json: string, byId: (id: string) => HTMLElement): boolean {
  const [section, holder, word] = [byId('view'), byId('view-stage'), byId('view-word')];
  // Shown before it is filled: a hidden element has no size.
  section.hidden = false;
  const viewer = makePairViewer(readPairs(json), holder);
  if (viewer === null) return false;
  addLine(viewer, holder);
  makePairControls(viewer, byId('view-controls'));
  const tell = (joint: JointOf | null): void => {
    const name = joint && viewer.rigs[joint.rig]?.jointNames[joint.joint];
    setText(word, name === null ? '' : `${name} is ringed, with its axes before and after.`);
  };
  takeHands(viewer, (joint) => {
    viewer.choose(joint);
    tell(joint);
  });
  linkJoints(viewer, holder, tell);
  Object.assign(globalThis, { trysquareView: makePairHandle(viewer) });
  return true;
}

/** Buttons at changed joints lead into the view. */
function linkJoints(
  viewer: PairViewer,
  holder: HTMLElement,
  tell: (joint: JointOf | null) => void,
): void {
  for (const button of document.querySelectorAll<HTMLElement>('button.show[data-joint]')) {
    const joint = { rig: Number(button.dataset.rig), joint: Number(button.dataset.joint) };
    button.hidden = viewer.rigs[joint.rig]?.joints[joint.joint] === undefined;
    if (button.hidden) continue;
    button.addEventListener('click', () => {
      void viewer.flyTo(joint);
      tell(joint);
      holder.scrollIntoView({ block: 'center' });
      // The next key acts on the picture, not on the button that was pressed.
      viewer.stage.canvas.focus({ preventScroll: true });
    });
  }
}
