// German words of the camera within the page.
import type { enCamera } from './en.camera';

export const deCamera: typeof enCamera = {
  open: 'Fotografieren mit dem der Abfahrt darüber',
  title: (of: string) => `Kamera: ${of}`,
  take: 'Foto aufnehmen',
  close: 'Kamera schließen',
  own: 'Kamera des Telefons verwenden',
  ghost: 'Foto der Abfahrt, durchscheinend',
  ghostHelp: 'Stellen Sie sich so, dass beide übereinanderliegen.',
  light: 'Licht',
  starting: 'Die Kamera wird gestartet …',
  refused: 'Diese Seite darf die Kamera nicht verwenden. Erlauben Sie es in den Einstellungen des Browsers für diese Seite, oder verwenden Sie die Kamera des Telefons.',
  none: 'Es wurde keine Kamera gefunden. Verwenden Sie die Kamera des Telefons.',
  busy: 'Ein anderes Programm benutzt die Kamera, oder sie ist ausgefallen. Beenden Sie es, oder verwenden Sie die Kamera des Telefons.',
  again: 'Noch einmal aufnehmen',
  repeat: {
    departure: 'Das ist noch einmal das Foto der Abfahrt oder nicht davon zu unterscheiden. Fotografieren Sie, wie das Fahrzeug jetzt ist.',
    other_vehicle: 'Dieses Foto wurde schon für ein anderes Fahrzeug verwendet oder ist nicht davon zu unterscheiden. Fotografieren Sie dieses Fahrzeug.',
  },
  keep: 'Trotzdem behalten',
  advice: {
    blurred: 'Dieses Foto ist unscharf. Halten Sie still, wischen Sie die Linse ab und nehmen Sie es möglichst noch einmal auf.',
    too_dark: 'Dieses Foto ist sehr dunkel. Machen Sie Licht und nehmen Sie es möglichst noch einmal auf.',
    too_bright: 'Dieses Foto ist überbelichtet. Wenden Sie sich von der Sonne ab und nehmen Sie es möglichst noch einmal auf.',
  },
};
