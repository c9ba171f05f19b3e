import { setText } from './dom.js';

/**
 * Answers buttons that lead into the view while it is not there yet: the press is kept, the finding is
 * marked, and the view is made at once.
 *
 * @param begin Makes the view, where it is not made yet.
 */
export function keepPresses(begin: () => void) {
  let pressed: HTMLElement | null = null;
  const take = ({ target }: Event): void => {
    const button = target instanceof Element ? target.closest<HTMLElement>('button.show') : null;
    if (button === null) return;
    pressed = button;
    for (const article of document.querySelectorAll('article.finding'))
      article.toggleAttribute('aria-current', false);
    button.closest('article.finding')?.setAttribute('aria-current', 'true');
    const word = document.getElementById('view-word');
    if (word !== null) setText(word, 'The live view is being made.');
    // What was said is painted first.
    requestAnimationFrame(() => setTimeout(begin));
  };
  document.addEventListener('click', take);
  return {
    /** Ends it, and presses what was pressed; buttons lead into the view by now. */
    done(): void {
      document.removeEventListener('click', take);
      pressed?.click();
    },
  };
}
