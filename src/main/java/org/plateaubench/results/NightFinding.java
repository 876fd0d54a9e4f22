package org.plateaubench.results;

/**
 * Something that was found on the way and that whoever reads the results must know.
 *
 * @param kind what kind, for example "hysteresis"
 * @param about what it is about, such as the name of a fan or a step; may be empty
 * @param text one line for people
 */
public record NightFinding(String kind, String about, String text) {}
