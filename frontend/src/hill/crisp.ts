/** Lines that stay sharp: on a screen a line is sharp when its edges fall between device pixels. */

/** The whole number of device pixels nearest to a width in CSS pixels, at least one. */
export const sharpWidth = (css: number, ratio: number): number => Math.max(1, Math.round(css * ratio));

/** Where a line of so many device pixels must run so that both its edges fall between pixels. */
export const sharp = (device: number, width: number): number =>
  width % 2 ? Math.floor(device) + 0.5 : Math.round(device);

/** Size in device pixels of a canvas that covers so many CSS pixels. */
export const deviceSize = (css: number, ratio: number): number => Math.max(1, Math.round(css * ratio));
