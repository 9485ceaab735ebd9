/** The pages of the header, which a phone shows as a menu. */
export const MENU_ID = "pages";
