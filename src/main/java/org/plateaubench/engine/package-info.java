/**
 * The protocol engine: {@code step(input) -> commands and decisions}, one thread, no clock, no input or output. May use
 * plan, benchfile, sample and the rooms of pure mathematics.
 *
 * <p>{@link org.plateaubench.engine.Engine} is the fold, {@link org.plateaubench.engine.Guard} the table of events,
 * the stages are the subclasses of {@link org.plateaubench.engine.Stage}.
 */
package org.plateaubench.engine;
