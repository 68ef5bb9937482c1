// Package advise answers what to do about a measured stack: which part to take, what to correct and by how much, what to tell the machinist, what to measure, and how sure an accept or reject is.
//
// A [Box] is a stack and the limits that it is held against. [Box.Judge] runs the whole model on it, chains and gauge uncertainty included. Every question is answered by changed stacks that are judged the same way:
//
//   - [Correct] searches what a [Shop] allows and ranks the [Option]s; each carries its corrected stack, [Advice.Try] asks about one of your own, and [Advice.Sheet] makes the [WorkSheet]
//   - [Compare] puts candidate parts in their places, all combinations, with paired differences
//   - [Assess] says what a limit says of a measured number, with both risks; [AuditRecord] what an auditor asks
//   - [ChooseShim], [DowelStep], [CornerShims], [SplitShims]: the small charts of the trade
//   - [Measure] lists which readings to take, and makes the blank record
//
// Every answer is data, and has a page to hand over ([example.com/borestack/align/sheet.Page]). When the context of a question ends, it goes to no other candidate.
//
// Clock positions are clockwise from 12 o'clock seen from the tail. In a [Correction] those of cuts and bores are on the part as measured, those of shims and dowels on the front part of the joint as mounted. A [WorkSheet] restates them: what is made on the bench goes by the own marks of a part as measured, what is done in the box by the box as it stands, and every order says which, and from which zero. Its words are in sheetgrammar.go.
//
// # Map
//
//   - box.go: a stack held against its limits
//   - kinds.go: all that tells one kind of correction from another, in one table
//   - correction.go, cut.go, skims.go, inplace.go: what a correction does to a stack
//   - shop.go, shopof.go, singles.go, search.go: what the shop allows, and the best amounts
//   - correct.go, rank.go, dial.go, correcttext.go: singles, pairs, their rank, and the reading to expect
//   - tools.go: amounts as the tools in hand can do them
//   - worksheet.go, sheetgrammar.go, sheettext.go: what the machinist gets
//   - compare.go, comparetext.go: candidates
//   - assess.go, audittext.go: acceptance
//   - charts.go: the small charts of the trade
//   - measure.go, blank.go: what to measure
//
// page.go begins a page; align/internal/paper writes it.
package advise
