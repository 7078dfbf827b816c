/** Where the sun stands, in solar time: the hour angle is 15 degrees an hour from noon.
 *
 * Declination by Cooper 1969, "The absorption of radiation in solar stills" (from memory): within
 * half a degree, which no eye sees in a shadow. The plan's own sun hours are reckoned elsewhere,
 * with the field's library; this is only for looking at.
 */

export interface Sun {
  /** Over the horizon [rad]. */
  height: number;
  /** Compass bearing, clockwise from north [rad]. */
  bearing: number;
}

/** @param day of the year, 1 to 365. @param hour solar time, 12 is noon. @param latitude north is positive [rad]. */
export const sunAt = (day: number, hour: number, latitude: number): Sun => {
  const d = ((23.45 * Math.PI) / 180) * Math.sin((2 * Math.PI * (284 + day)) / 365), h = ((hour - 12) * Math.PI) / 12;
  const sin = Math.sin(latitude) * Math.sin(d) + Math.cos(latitude) * Math.cos(d) * Math.cos(h);
  const east = -Math.cos(d) * Math.sin(h), north = Math.cos(latitude) * Math.sin(d) - Math.sin(latitude) * Math.cos(d) * Math.cos(h);
  return { height: Math.asin(Math.min(1, Math.max(-1, sin))), bearing: (Math.atan2(east, north) + 2 * Math.PI) % (2 * Math.PI) };
};

/** Middle day of a month, 0 = January. */
export const middleDay = (month: number): number => Math.round(month * 30.4 + 15);
