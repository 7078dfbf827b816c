/** Ink and paper of the drawing: the same names as in the style sheet. */

export const LOOK = {
  paper: "#fbf7ec",
  ink: "#2c2721",
  soft: "#6f665a",
  contour: "#b3a68f",
  strong: "#8d7f68",
  leaf: "#d9ddba",
  tread: "#e9dfc8",
  open: "#fbf7ec",
  unknown: "#e6e0d2",
  accent: "#93401f",
  hover: "#93401f",
  water: "#2f5560",
} as const;
