/**
 * Build services read commands out of the log of a run: `::` at the start of a line, blanks before it
 * or not, and `##[`, `##vso[`, `##teamcity[` anywhere in one. A name from a file must give none. What
 * is written for people shows an escape in their place, as for controls; JSON and XML have escapes
 * that their readers undo, so that names stay true there.
 */

/** The second `#` of a mark, of the known services and of any other that has a word of its own. */
const MARK = /(?<=#)#(?=[\w.-]*\[)/g;

/** The first colon of a line that begins with two; colour before it is no more than a blank. */
const LINE_START = /^((?:[^\S\r\n]|\u001b\[[\d;]*m)*):(?=:)/gm;

/** Lines for people: in a terminal, in a text, in Markdown. Done twice it does no more. */
export function logLines(text: string): string {
  return withoutMarks(text).replace(LINE_START, '$1\\u003a');
}

/** A piece of a line that does not begin it; or a JSON document, where a mark can only be in a string. */
export function withoutMarks(text: string): string {
  // Nearly no text has one, and a whole report is quickly looked through for a plain string.
  return text.includes('##') ? text.replace(MARK, '\\u0023') : text;
}

/** Content or attribute value of XML or HTML, or a whole document of these without scripts. */
export function logXml(xml: string): string {
  return xml.replace(MARK, '&#35;').replace(LINE_START, '$1&#58;');
}
