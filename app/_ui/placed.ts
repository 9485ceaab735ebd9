const quarters = (percent: number) => Math.round(4 * Math.min(100, Math.max(0, percent)));

/** Class that puts an element `percent` of its container's width from the left; to a quarter of a percent. */
export const leftAt = (percent: number): string => `l${quarters(percent)}`;

/** Class that makes an element `percent` of its container wide; to a quarter of a percent. */
export const wideBy = (percent: number): string => `w${quarters(percent)}`;

/** Class that hands a probability to the style sheet, to a twentieth. */
export const shadeOf = (p: number): string => `p${Math.round(20 * Math.min(1, Math.max(0, p)))}`;
