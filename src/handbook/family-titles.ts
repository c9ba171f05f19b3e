/** What the families of rules are about, in the order of the handbook; a house's own follow by their names. */
export const FAMILY_TITLES: Readonly<Record<string, string>> = {
  root: 'The root',
  rest: 'Holders and the stored pose',
  axis: 'Frames',
  scale: 'Scale',
  chain: 'Chains',
  place: 'Places of joints',
  skin: 'Skin and weights',
  motion: 'Bending',
  name: 'Names',
  fit: 'Fit to an approved rig',
  house: 'The standard of the house',
  file: 'The file',
};
