/**
 * One record as a page that stands by itself. Reads records, never a bench. May use record, results, audit, plan,
 * benchfile and the rooms of pure mathematics.
 */
package org.plateaubench.report;
