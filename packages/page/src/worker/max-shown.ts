/** Of any list on the screen: nobody reads more, and a page with 100,000 lines is slow. Own choice. */
export const MAX_SHOWN = 250;
