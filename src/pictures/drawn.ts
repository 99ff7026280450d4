import { fileURLToPath } from 'node:url';
import { Resvg } from '@resvg/resvg-js';
import { look } from './look.ts';
import { type Picture, type Png, type Sheet, sheetSvg } from './picture.ts';

// Fonts come with the bot: a server often has none of its own, and text would be missing from the picture.
const fontFiles = [
  '400Regular/AtkinsonHyperlegible_400Regular.ttf',
  '700Bold/AtkinsonHyperlegible_700Bold.ttf',
].map((file) => fileURLToPath(import.meta.resolve(`@expo-google-fonts/atkinson-hyperlegible/${file}`)));

/** SVG drawn with the fonts that come with the bot, and no others. */
export function drawn(svg: string) {
  const font = { fontFiles, loadSystemFonts: false, defaultFontFamily: look.family };
  return new Resvg(svg, { font }).render();
}

/** SVG drawn as PNG, here and now: it takes some hundred ms. */
export function pngOf(svg: string): Png {
  const image = drawn(svg);
  return { pngBytes: image.asPng(), widthPx: image.width, heightPx: image.height };
}

/** A sheet drawn as PNG, here and now. */
export function pictureOf(sheet: Sheet): Picture {
  const { fileName, title, altText } = sheet;
  return { fileName, title, altText, ...pngOf(sheetSvg(sheet).svg) };
}
