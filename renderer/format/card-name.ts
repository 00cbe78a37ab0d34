/** What a field for a rig card's name accepts; a name of spaces alone is none, and the browser then says what is asked for. */
export const CARD_NAME = { maxLength: 120, required: true, pattern: '.*\\S.*', title: 'a name for the rig card, such as Bench, 5×' } as const;
