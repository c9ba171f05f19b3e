/** Longest wait for a browser that is never idle. Milliseconds. */
const PATIENCE_MS = 1000;

/**
 * Does work once, after the page was painted and when the browser has nothing else to do, so that the page
 * can be read and used before.
 *
 * @returns Does it at once, where it is not done yet.
 */
export function whenIdle(work: () => void): () => void {
  let done = false;
  const once = (): void => {
    if (done) return;
    done = true;
    work();
  };
  const idle = (): void => {
    // Not every browser has it.
    if (typeof requestIdleCallback === 'function')
      requestIdleCallback(once, { timeout: PATIENCE_MS });
    else setTimeout(once);
  };
  // A frame is painted after its callbacks: what the first one asks for comes after the painting.
  requestAnimationFrame(() => setTimeout(idle));
  return once;
}
