import type { Interval } from '../../domain/statistics/interval.ts';

/** All that a picture says besides what is drawn. */
export interface SheetWords {
  fileName: string;
  title: string;
  /** Sentences below the title. */
  lead: string[];
  /** Sentences below all: how to read it. */
  foot: string[];
  altText: string;
}

/** One figure with its name: a dot with the bar of its interval, or, without one, a bar from 0. */
export interface FigureRow {
  label: string;
  /** The figure in words, at the right. */
  says: string;
  /** Null: there is none, and the words say so. */
  value: number | null;
  interval: Interval | null;
  /** Too few to mean anything: an open dot. */
  isWeak?: boolean;
  /** Sets the row off from the one above. */
  beginsGroup?: boolean;
}

/** A picture of figures below each other, in words. */
export interface FigureWords extends SheetWords {
  rows: FigureRow[];
}
