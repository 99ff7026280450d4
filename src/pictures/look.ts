/** The look of every picture: paper and ink of the practice ward. */
export const look = {
  paper: '#fffcf3',
  ink: '#24211b',
  soft: '#575042',
  rule: '#d8cdb4',
  trace: '#1c4a5c',
  mark: '#9c2f1f',
  family: 'Atkinson Hyperlegible',
} as const;

/** Width of a picture, px: a phone shows it at a third of that. */
export const pictureWidthPx = 1080;
