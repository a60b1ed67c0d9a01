// Whom somebody looks for: typed in the header of every screen, answered on Watch.
class Find {
  words = $state('');
}

export const find = new Find();
