// English words of the camera within the page, and of what is said while a number is typed.
export const enCamera = {
  open: 'Photograph over departure’s',
  title: (of: string) => `Camera: ${of}`,
  take: 'Take the photograph',
  close: 'Close the camera',
  own: 'Use the camera of the phone',
  ghost: 'Departure’s photograph, faint',
  ghostHelp: 'Stand so that both lie over each other.',
  light: 'Light',
  starting: 'Starting the camera…',
  refused: 'This page may not use the camera. Allow it in the browser’s settings for this page, or use the camera of the phone.',
  none: 'No camera was found. Use the camera of the phone.',
  busy: 'The camera is used by another program, or broke off. Close that, or use the camera of the phone.',
  again: 'Take it again',
  repeat: {
    departure: 'This is departure’s photograph again, or cannot be told from it. Take one of how the vehicle is now.',
    other_vehicle: 'This photograph was used for another vehicle before, or cannot be told from it. Take one of this vehicle.',
  },
  keep: 'Keep it all the same',
  advice: {
    blurred: 'This photograph is blurred. Hold still, wipe the lens, and take it again if you can.',
    too_dark: 'This photograph is very dark. Switch on a light and take it again if you can.',
    too_bright: 'This photograph is burnt out. Turn away from the sun and take it again if you can.',
  },
};

export const enPlausible = {
  under_tare: (kg: string) => `That is ${kg} kg under the stamped tare. Weigh it again, or read the stamp again.`,
  over_net_fill: (kg: string) => `That is ${kg} kg more gas than the cylinder holds when full. Weigh it again, or check the stamp and the size.`,
  less_than_departure: (distance: string) => `That is ${distance} less than at departure. Read it again.`,
  far: (distance: string) => `That is ${distance} since departure. Read it again to be sure.`,
  outside: (least: string, most: string, unit: string) => `Instruments show from ${least} to ${most} ${unit} here. Read it again to be sure.`,
  twenty_four: 'That looks like two batteries in a row. Measure one of them to be sure.',
  charging: 'At that voltage the battery is being charged. Measure it at rest.',
};

export const enMeasure = {
  open: 'Measure on the photograph',
  title: 'Measure on the photograph',
  how: 'Lay the line with squares along the card, or whatever of known length was beside the mark, and the dashed line with circles along the mark.',
  known: 'Length of what lies beside it (long edge of a bank card: 85.6)',
  flat: 'Right only where both lie on the same flat part and were photographed straight on.',
  ends: ['First end of the known length', 'Second end of the known length', 'First end of the mark', 'Second end of the mark'],
  result: (mm: number) => `The mark is about ${mm} mm long.`,
  none: 'Enter the length of what lies beside it.',
  use: 'Take this size',
  close: 'Close',
};
