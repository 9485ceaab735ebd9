/** Name of the import that brings the demo. */
export const DEMO_NAME = "Demo fleet (invented)";
