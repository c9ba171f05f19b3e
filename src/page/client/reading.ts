/** How long the page must stand before what it shows counts as read. Milliseconds. */
const STILL_MS = 180;
/** Where people read: between these shares of the window's height, below a view that takes the top. */
const [LINE_TOP, LINE_BOTTOM] = [0.2, 0.45];

/**
 * Tells which of some articles is being read: the one that lies across the reading line once scrolling
 * stops, or that the keyboard's focus went into. Nothing is told before the reader moved, and nothing of
 * scrolling that was under way when something was shown, or that brings it into sight.
 *
 * @param covered How much of the window something else covers from the top. CSS pixels.
 */
export function watchReading(
  articles: readonly HTMLElement[],
  covered: () => number,
  read: (article: HTMLElement) => void,
) {
  const inSight = new Set<Element>();
  let last: Element | null = null;
  let moved = false;
  /** Whether the scrolling that is still to stop is of what was shown, and says nothing of reading. */
  let isLed = false;
  let timer: ReturnType<typeof setTimeout> | undefined;
  const tell = (article: HTMLElement): void => {
    if (article === last) return;
    last = article;
    read(article);
  };
  const settle = (): void => {
    if (isLed) {
      isLed = false;
      return;
    }
    const top = covered();
    const [from, to] = [LINE_TOP, LINE_BOTTOM].map((share) => top + share * (innerHeight - top));
    const crossing = articles.find((article) => {
      if (!inSight.has(article)) return false;
      const box = article.getBoundingClientRect();
      return box.top < (to ?? 0) && box.bottom > (from ?? 0);
    });
    if (crossing !== undefined) tell(crossing);
  };
  const soon = (): void => {
    clearTimeout(timer);
    if (moved || isLed) timer = setTimeout(settle, STILL_MS);
  };
  const observer = new IntersectionObserver((entries) => {
    for (const { target, isIntersecting } of entries) {
      if (isIntersecting) inSight.add(target);
      else inSight.delete(target);
    }
    soon();
  });
  for (const article of articles) {
    observer.observe(article);
    article.addEventListener('focusin', () => tell(article));
  }
  addEventListener(
    'scroll',
    () => {
      moved = true;
      soon();
    },
    { passive: true },
  );
  return {
    /** What the reader was led to, if it is an article: nothing is told of it once more. */
    ledTo(article: Element | null): void {
      last = article;
      isLed = true;
      soon();
    },
  };
}
