import { visible } from './visible.js';

/** Consumers cut or refuse longer messages. */
export const MESSAGE_LENGTH = 2048;

/** Consumers cut or refuse longer descriptions of a rule. */
export const DESCRIPTION_LENGTH = 1024;

const CUT = ' … ';

/**
 * Text for a plain SARIF message of at most `limit` UTF-16 code units: controls become visible,
 * braces are doubled (3.11.5, placeholders), and nothing in it forms an embedded link (3.11.6).
 */
export function plainText(text: string, limit: number): string {
  // A backslash before the bracket would not do: a name that ends in one already would undo it.
  return withinLimit(text.replaceAll('](', '] ('), limit, plainCharacter);
}

/** Text for a Markdown SARIF message, with nothing in it read as markup or HTML (3.11.4.2). */
export function markdownText(text: string, limit: number): string {
  return withinLimit(text, limit, markdownCharacter);
}

/** A phrase as a sentence: a full stop last, a capital first unless the word has its own, as glTF. */
export function sentence(phrase: string): string {
  const trimmed = phrase.trim();
  if (trimmed === '') return '';
  const capital = trimmed.replace(/^\p{Ll}+(?!\p{L})/u, (word) => {
    const [first = ''] = word;
    return first.toUpperCase() + word.slice(first.length);
  });
  return /[.!?]$/.test(capital) ? capital : `${capital}.`;
}

/**
 * Escapes character by character and cuts out the middle when it gets too long: a message begins
 * with the measure and ends with the remedy, and a name of thousands of letters is in between.
 */
function withinLimit(text: string, limit: number, shownAs: (character: string) => string): string {
  if (text.length <= limit) {
    const whole = Array.from(text, shownAs).join('');
    if (whole.length <= limit) return whole;
  }
  const room = limit - CUT.length;
  const head = take(text.slice(0, limit), Math.ceil((room * 3) / 4), shownAs);
  const tail = take(Array.from(text.slice(-limit)).reverse(), room - head.join('').length, shownAs);
  return `${head.join('')}${CUT}${tail.reverse().join('')}`;
}

/** As many characters as fit, escaped, none of them cut in half. */
function take(
  characters: Iterable<string>,
  room: number,
  shownAs: (character: string) => string,
): string[] {
  const taken: string[] = [];
  let used = 0;
  for (const character of characters) {
    const shown = shownAs(character);
    used += shown.length;
    if (used > room) break;
    taken.push(shown);
  }
  return taken;
}

function plainCharacter(character: string): string {
  return character === '{' || character === '}' ? character + character : visible(character);
}

function markdownCharacter(character: string): string {
  if (character === '{' || character === '}') return character + character;
  return /[\\`*_[\]<>#|~&]/.test(character) ? `\\${character}` : visible(character);
}
