import { fileURLToPath } from 'node:url';

const font = (file: string) =>
  fileURLToPath(import.meta.resolve(`@expo-google-fonts/atkinson-hyperlegible/${file}`));

/** The fonts of every page; they are put into it, so that it prints the same from any phone. */
export const regular = font('400Regular/AtkinsonHyperlegible_400Regular.ttf');
export const bold = font('700Bold/AtkinsonHyperlegible_700Bold.ttf');
