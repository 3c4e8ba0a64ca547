"""The pictures in docs, taken at the window without a screen: the gallery, the README's picture and its film."""
