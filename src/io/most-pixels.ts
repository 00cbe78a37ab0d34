/** The most pixels of a picture that the picture library reads (its own limit, so that a few bytes can't ask for all memory). */
export const MOST_PIXELS = 0x3fff ** 2;
/** What is wrong with a picture of more, in words that fit after "IMG_1.jpg can't be read: ". */
export const TOO_MANY_PIXELS = 'it has more pixels than can be read (limit 268 megapixels)';
