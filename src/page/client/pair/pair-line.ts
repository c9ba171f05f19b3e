import { el } from '../dom.js';
import type { PairViewer } from './pair-viewer.js';

/**
 * The line over the picture, with a grip to drag it by. Keys and screen readers have the slider below it
 * instead, so that nothing is told twice.
 */
export function addLine(viewer: PairViewer, holder: HTMLElement): void {
  const grip = el('div', { class: 'pair-grip' });
  const line = el('div', { class: 'pair-divide', 'aria-hidden': 'true' }, grip);
  const labels = ['Before', 'After'].map((words) =>
    el('span', { class: `pair-label pair-${words.toLowerCase()}`, 'aria-hidden': 'true' }, words),
  );
  holder.append(line, ...labels);
  grip.addEventListener('pointerdown', (event) => {
    event.preventDefault();
    grip.setPointerCapture(event.pointerId);
  });
  grip.addEventListener('pointermove', (event) => {
    if (!grip.hasPointerCapture(event.pointerId)) return;
    const { left, width } = holder.getBoundingClientRect();
    viewer.setSplit((event.clientX - left) / Math.max(1, width));
  });
  const place = (): void => {
    const share = viewer.split();
    line.style.left = `${100 * share}%`;
    labels.forEach((label, side) => {
      label.hidden = share === (side === 0 ? 0 : 1);
    });
  };
  viewer.onChange(place);
  place();
}
