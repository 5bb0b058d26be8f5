// English words of the camera within the page.
export const enCamera = {
  open: 'Photograph with departure’s over it',
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
