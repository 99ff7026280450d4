/**
 * Below these a figure says next to nothing, and whoever shows it must say so. Own rules, no source; what each leaves open is
 * reckoned from the exact 95 % intervals:
 * - a share of fewer than 20: 10 of 20 may be anything from 27 to 73 %;
 * - a rate over fewer than 30 line-days: no event in 30 may still be up to 12 per 100;
 * - a rate over less than one line-day is not given at all: its interval reaches into the thousands and beyond;
 * - a median or a curve of fewer than 10 lines;
 * - a curve beyond the time at which fewer than 5 lines are still in: one failure more takes a fifth off it.
 */
export const fewest = { ofShare: 20, lineDays: 30, lineDaysGiven: 1, ofMedian: 10, atRisk: 5 } as const;
