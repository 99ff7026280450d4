/** What an upload is that is no text. */
export type UploadType =
  | 'spreadsheet or zip'
  | 'old spreadsheet'
  | 'PNG'
  | 'JPEG'
  | 'GIF'
  | 'PDF'
  | 'gzip'
  | 'UTF-16'
  | 'binary';

/** Why an upload is not read, with the figures that it's told with. Names and cells are printable and short. */
export type UploadRefusal =
  | {
      because:
        | 'empty'
        | 'no file'
        | 'no values'
        | 'several files'
        | 'data without a header'
        | 'header too large'
        | 'several segments'
        | 'no header'
        | 'no sampling rate'
        | 'times too coarse'
        | 'times too uneven'
        | 'too few samples';
    }
  | { because: 'wrong type'; type: UploadType }
  | { because: 'too large'; file: 'upload' | 'data'; bytes: number }
  | { because: 'data file missing'; name: string }
  | { because: 'line too long'; mostCharacters: number }
  | { because: 'header not readable' | 'time goes back'; line: number }
  | { because: 'data break off'; thereS: number; wantedS: number }
  | { because: 'data do not match'; fails: 'checksum' | 'first value' }
  | { because: 'formula' | 'no number' | 'no time'; line: number; cell: string }
  | { because: 'no such column' | 'no such signal'; name: string; there: readonly string[] }
  | { because: 'no pressure column' | 'no pressure signal'; there: readonly string[] }
  | { because: 'column without unit' | 'time without unit'; name: string }
  | { because: 'column in another unit'; name: string; unit: string }
  /** `unit` is null where it has none. */
  | { because: 'signal without unit'; name: string; unit: string | null }
  | { because: 'format not read'; format: number }
  | { because: 'rates disagree'; toldHz: number; timesHz: number }
  | { because: 'sampling rate out of range'; samplesPerS: number }
  | { because: 'gap too long'; s: number }
  | { because: 'too much missing'; present: number; samples: number }
  | { because: 'too short'; s: number };
