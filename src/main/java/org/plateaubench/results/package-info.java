/**
 * From a record to tables of results. Reads what the record holds and nothing else. May use record, plan, benchfile and
 * the rooms of pure mathematics.
 */
package org.plateaubench.results;
