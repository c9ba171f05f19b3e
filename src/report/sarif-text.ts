import { visible } from './visible.js';

/** Consumers cut or refuse longer messages. */
const MESSAGE_LENGTH = 2048;

/** Consumers cut or refuse longer descriptions of a rule. */
export const DESCRIPTION_LENGTH = 1024;

const CUT = ' … ';

/** What is written as it is wherever it stands; all else is looked at by itself. */
const OTHERS = /[^A-Za-z0-9 .,:;()/'"%+-]/gu;

type Write = (character: string) => string;

/** A message whose text is plain and no longer than consumers take. */
export function messageText(text: string): { readonly text: string } {
  return { text: plainText(text, MESSAGE_LENGTH) };
}

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
  return withinLimit(text, limit, (character) =>
    /[\\`*_[\]<>#|~&]/.test(character) ? `\\${character}` : plainCharacter(character),
  );
}

function plainCharacter(character: string): string {
  return character === '{' || character === '}' ? character + character : visible(character);
}

/** A phrase as a sentence: a full stop last, a capital first unless the word has its own, as glTF. */
export function sentence(phrase: string): string {
  const capital = phrase
    .trim()
    .replace(/^\p{Ll}+(?!\p{L})/u, ([first = '', ...rest]) => first.toUpperCase() + rest.join(''));
  return capital === '' || /[.!?]$/.test(capital) ? capital : `${capital}.`;
}

/**
 * Escapes character by character and cuts out the middle when it gets too long: a message begins
 * with the measure and ends with the remedy, and a name of thousands of letters is in between.
 */
function withinLimit(text: string, limit: number, write: Write): string {
  if (text.length <= limit) {
    const whole = text.replace(OTHERS, (character) => write(character));
    if (whole.length <= limit) return whole;
  }
  const room = limit - CUT.length;
  const head = take(text.slice(0, limit), Math.ceil((room * 3) / 4), write).join('');
  const tail = take(Array.from(text.slice(-limit)).reverse(), room - head.length, write);
  return `${head}${CUT}${tail.reverse().join('')}`;
}

/** As many characters as fit, escaped, none of them cut in half. */
function take(characters: Iterable<string>, room: number, write: Write): string[] {
  const taken: string[] = [];
  let left = room;
  for (const character of characters) {
    const escaped = write(character);
    left -= escaped.length;
    if (left < 0) break;
    taken.push(escaped);
  }
  return taken;
}
