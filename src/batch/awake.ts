/** Milliseconds that a wait is counted in. */
const STEP = 250;

/**
 * Calls `onEnd` once this thread has been free for so long. Time in which it was busy does not count:
 * what came meanwhile has not been looked at yet, and must not be taken for missing. Gives back how to
 * stop the wait.
 */
export function awake(milliseconds: number, onEnd: () => void): () => void {
  let left = milliseconds;
  let timer: NodeJS.Timeout;
  const step = (): void => {
    const length = Math.min(STEP, left);
    const due = performance.now() + length;
    timer = setTimeout(() => {
      const late = performance.now() - due > STEP / 2;
      if (!late) left -= length;
      if (left <= 0) onEnd();
      else step();
    }, length);
  };
  step();
  return () => clearTimeout(timer);
}
