package org.plateaubench.problem;

import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

/** Finds the word that was probably meant. */
final class NearMiss {

    private static final int LONGEST = 40;

    private NearMiss() {}

    /**
     * Puts a suggestion behind a message.
     *
     * @param message the message
     * @param meant the word that was probably meant, or empty
     * @return the message, perhaps with "; did you mean ...?"
     */
    static String hint(String message, Optional<String> meant) {
        return meant.map(w -> message + "; did you mean " + w + "?").orElse(message);
    }

    /**
     * Finds the nearest word.
     *
     * @param word the word that was found
     * @param words the words that are known
     * @return the nearest, if at most a third of its letters differ and not just the digits, as in fan-1 and fan-4; the
     *     first of equally near ones
     */
    static Optional<String> nearest(String word, List<String> words) {
        if (word.length() > LONGEST) {
            return Optional.empty();
        }
        String plain = plain(word);
        return words.stream()
                .filter(w -> distance(plain, plain(w)) <= Math.max(1, w.length() / 3))
                .filter(w -> plain.equals(plain(w)) || !withoutDigits(plain).equals(withoutDigits(w)))
                .filter(w -> distance(plain, plain(w)) < Math.min(plain.length(), w.length()))
                .min(Comparator.comparingInt(w -> distance(plain, plain(w))));
    }

    private static String withoutDigits(String word) {
        return word.replaceAll("[0-9]", "");
    }

    private static String plain(String word) {
        return word.toLowerCase(Locale.ROOT).replace('_', '-').replace(' ', '-');
    }

    /** Edit distance with neighbouring letters swapped as one edit (optimal string alignment). */
    private static int distance(String a, String b) {
        int[][] d = new int[a.length() + 1][b.length() + 1];
        for (int i = 0; i <= a.length(); i++) {
            for (int j = 0; j <= b.length(); j++) {
                if (i == 0 || j == 0) {
                    d[i][j] = i + j;
                    continue;
                }
                int change = a.charAt(i - 1) == b.charAt(j - 1) ? 0 : 1;
                d[i][j] = Math.min(Math.min(d[i - 1][j], d[i][j - 1]) + 1, d[i - 1][j - 1] + change);
                boolean swapped =
                        i > 1 && j > 1 && a.charAt(i - 1) == b.charAt(j - 2) && a.charAt(i - 2) == b.charAt(j - 1);
                if (swapped) {
                    d[i][j] = Math.min(d[i][j], d[i - 2][j - 2] + 1);
                }
            }
        }
        return d[a.length()][b.length()];
    }
}
