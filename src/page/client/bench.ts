import { setText } from './dom.js';

/** How often a page looks for another state, and how often after it found none for a while. Milliseconds. */
const [LOOK_MS, LATER_MS] = [1000, 5000];
/** Looks without a state after which the check counts as ended. */
const MISSED = 3;

/**
 * Loads the page again once the small picture beside it has another size than the page was written with.
 * A picture is what a page from disk may look at, and nothing in it can run.
 *
 * @param keep Called before the page goes.
 */
export function keepCurrent(section: HTMLElement, keep: () => void): void {
  const { file = '', state = '' } = section.dataset;
  const word = document.getElementById('live-state');
  let [missed, looks] = [0, 0];
  let timer: ReturnType<typeof setTimeout> | undefined;
  const later = (): void => {
    clearTimeout(timer);
    // A page that nobody looks at waits until somebody does.
    if (!document.hidden) timer = setTimeout(look, missed < MISSED ? LOOK_MS : LATER_MS);
  };
  const say = (words: string): void => {
    if (word !== null) setText(word, words);
  };
  const look = (): void => {
    const picture = new Image();
    picture.addEventListener('load', () => {
      missed = 0;
      const now = `${picture.naturalWidth}x${picture.naturalHeight}`;
      // The page is written before its state: one that is loaded twice for a state waits for the next.
      if (now !== state && lastTried() !== now) {
        keep();
        note(now);
        location.reload();
        return;
      }
      say('This page loads itself again after each export, as long as the check runs.');
      later();
    });
    picture.addEventListener('error', () => {
      if (++missed === MISSED)
        say('The check that kept this page current has ended. Start it again to go on.');
      later();
    });
    // No browser looks twice for a picture of one name.
    picture.src = `${encodeURIComponent(file)}?${Date.now()}-${++looks}`;
  };
  document.addEventListener('visibilitychange', () => {
    if (!document.hidden) look();
  });
  look();
}

/** The state that the page was last loaded again for, kept with its entry in the history. */
function lastTried(): unknown {
  return recordOf(history.state).tried;
}

function note(tried: string): void {
  history.replaceState({ ...recordOf(history.state), tried }, '');
}

/** Anything as a record; what is none is empty. */
export function recordOf(value: unknown): Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null ? { ...value } : {};
}
