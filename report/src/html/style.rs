//! The look of pages: colour tokens for light, dark and print, type and space.

/// Colours. Contrast: every pair used for text has at least 4.5 to 1.
pub(super) const TOKENS: &str = "
:root{color-scheme:light dark;--bg:#FFFFFF;--paper:#F6F4EF;--ink:#1A1D1F;--soft:#54585B;--line:#D5D1C7;--edge:#85817A;--accent:#0B5566;--wash:#D3E5E8;--caution:#93390A;--cwash:#FAE7D8;--earth:#EAE5DA;--wall:#3B3F42}
@media screen and (prefers-color-scheme:dark){:root{--bg:#111416;--paper:#1A1F22;--ink:#EFEDE7;--soft:#B4B8B7;--line:#363D41;--edge:#7E878B;--accent:#86CFDA;--wash:#1D434B;--caution:#F4AE7B;--cwash:#45291A;--earth:#23241F;--wall:#C9C7C0}}
@media print{:root{color-scheme:light;--ink:#000000;--soft:#3A3A3A;--wall:#000000}}
";

/// What `TOKENS` come to on paper: those of the screen in the light, and what print says otherwise.
pub(super) fn print_colours() -> Vec<(&'static str, &'static str)> {
    let mut out: Vec<(&str, &str)> = Vec::new();
    let on_paper = |line: &&str| line.starts_with(":root{") || line.starts_with("@media print");
    for (name, value) in
        TOKENS.lines().filter(on_paper).flat_map(|l| l.split(['{', ';', '}'])).filter_map(token)
    {
        match out.iter_mut().find(|t| t.0 == name) {
            Some(told) => told.1 = value,
            None => out.push((name, value)),
        }
    }
    out
}

/// `--ink:#000000` as its name and its value.
fn token(text: &'static str) -> Option<(&'static str, &'static str)> {
    text.strip_prefix("--").and_then(|t| t.split_once(':'))
}

/// Type, space, blocks, print.
pub(super) const PAGE: &str = "
*{box-sizing:border-box}
html{font-size:16px;-webkit-text-size-adjust:100%}
body{margin:0;background:var(--bg);color:var(--ink);font:400 1rem/1.5 system-ui,-apple-system,'Segoe UI',Roboto,'Noto Sans',sans-serif;font-variant-numeric:tabular-nums lining-nums;overflow-wrap:break-word}
main{max-width:40rem;margin:0 auto;padding:16px 16px 40px}
h1{font-size:1.625rem;line-height:1.2;margin:0 0 4px;letter-spacing:-.01em}
h2{font-size:1.1875rem;line-height:1.3;margin:0 0 8px}
h3{font-size:1rem;line-height:1.4;margin:0}
p{margin:0 0 8px;max-width:64ch}
section{margin:0 0 40px}
figure{margin:0 0 16px}
figcaption{font-size:.875rem;line-height:1.43;color:var(--soft);max-width:64ch;margin-bottom:8px}
.soft,small{color:var(--soft);font-size:.875rem;line-height:1.43}
.lead{color:var(--soft);margin-bottom:16px}
.n{white-space:nowrap}.n b{font-weight:700}
.u{font-size:.82em;margin-left:.04em}
.big{font-size:2.25rem;line-height:1.1;font-weight:600;letter-spacing:-.02em;color:var(--accent);margin:0}
.big .u{font-size:.55em;font-weight:500;letter-spacing:0}
.mk{display:inline-flex;align-items:baseline;gap:5px;font-size:.875rem;font-weight:500;color:var(--ink);max-width:100%}
.mk svg{width:15px;height:15px;flex:none;transform:translateY(2px);overflow:visible}
.safe{background:var(--ink);color:var(--bg);border-radius:6px;padding:14px 16px;margin:0 0 24px;print-color-adjust:exact;-webkit-print-color-adjust:exact}
.safe>div{display:flex;gap:12px;align-items:flex-start}.safe>div+div{margin-top:12px}
.safe svg{flex:none;width:30px;height:30px}
.safe p{margin:0;max-width:72ch}
.safe .never{margin-top:10px;font-size:.875rem}
.stale{border:2px solid var(--caution);background:var(--cwash);border-radius:6px;padding:10px 14px;margin:0 0 24px}
blockquote{margin:0 0 8px;padding-left:14px;border-left:5px solid var(--accent);font-size:1.125rem;font-weight:600;line-height:1.35}
blockquote footer{font-size:.875rem;font-weight:400;color:var(--soft)}
dl{display:grid;grid-template-columns:minmax(5rem,max-content) minmax(0,1fr);gap:4px 14px;margin:0 0 12px}
dt{color:var(--soft)}dd{margin:0;min-width:0}
dl.ev{grid-template-columns:1fr;margin-bottom:4px}dl.ev dt{margin-top:4px}.evs{margin:0 0 12px}.evs p{margin:0}

table{border-collapse:collapse;width:100%;font-size:.9375rem;line-height:1.4}
caption{text-align:left;font-weight:700;padding:8px 0 4px}
th,td{text-align:left;vertical-align:top;padding:8px 10px 8px 0;border-bottom:1px solid var(--line)}
th{font-weight:700}th[scope=row]{font-weight:400}
td.num,th.num{text-align:right}td:last-child,th:last-child{padding-right:0}
.r{white-space:nowrap}@media print,(min-width:760px){.nr{white-space:nowrap}}td.num .r{color:var(--soft);font-size:.875rem}
th .soft,.price .soft{font-weight:400}
.cards{display:grid;gap:16px;margin:0 0 24px}
.card{border:1px solid var(--line);border-top:5px solid var(--ink);border-radius:8px;padding:12px 16px;position:relative}
.card.best{border-top-color:var(--accent)}
.card h3{padding-right:44px}
.card .tag{position:absolute;right:14px;top:8px;font-size:1.75rem;line-height:1.2;font-weight:700}
.card.best .tag{color:var(--accent)}
.card ul{margin:8px 0;padding-left:20px}
.card dl{margin:6px 0 0;font-size:.9375rem}
.price{font-size:1.25rem;font-weight:600;margin:2px 0 0}
.held{border:1.5px dashed var(--caution);background:var(--cwash);border-radius:4px;padding:6px 10px;margin:8px 0 0;font-size:.9375rem}
.held+.evs,.held+dl{margin-top:12px}.held b{color:var(--caution)}
.ok{border:1.5px solid var(--edge);border-radius:4px;padding:6px 10px;margin:8px 0 0;font-size:.9375rem}
.scores{display:grid;gap:24px 28px}
.scores h3{margin:0}.scores>div,.scores figure{display:flex;flex-direction:column}.scores figure{flex:1}.scores svg{margin-top:auto}
.scores figure{max-width:26rem;margin:0}
.key{display:flex;flex-wrap:wrap;gap:4px 16px;font-size:.8125rem;color:var(--soft);margin:8px 0 16px}
.key span{display:inline-flex;align-items:center;gap:6px}.key .sizes{flex-wrap:wrap;gap:4px 14px}.key svg.fig{width:44px;height:26px}
.states{max-width:none;display:flex;flex-wrap:wrap;gap:4px 20px;margin:0 0 24px}
.todo h3{min-height:34px}
.num-tag{position:absolute;right:12px;top:10px;width:30px;height:30px;border-radius:50%;background:var(--ink);color:var(--bg);font-weight:700;display:grid;place-items:center;print-color-adjust:exact;-webkit-print-color-adjust:exact}
.check-f td,.check-f th{border-left:0}.check-f td:first-child,.check-f th:first-child{box-shadow:inset 3px 0 0 var(--caution);padding-left:10px}
.verdict{display:inline-flex;align-items:center;gap:8px;font-size:1.1875rem;font-weight:700;border:2px solid currentColor;border-radius:6px;padding:4px 12px;margin:0 0 8px}
.verdict.fail,.verdict.close{color:var(--caution)}
.verdict.unsure{border-style:dashed}
.verdict svg{width:18px;height:18px}
.find{display:grid;grid-template-columns:minmax(7em,max-content) 1fr;gap:2px 14px;margin:0 0 10px}.find dt{grid-column:1;color:var(--soft)}.find dd{grid-column:2;margin:0}pre.hash{white-space:pre-wrap;margin:0 0 14px}
@media (max-width:479px){.find{grid-template-columns:1fr}.find dd{grid-column:1;margin:0 0 6px}}
.hash{font-family:ui-monospace,Menlo,Consolas,monospace;font-size:.8125rem;overflow-wrap:anywhere}
.wide{display:none}
.sign{display:grid;grid-template-columns:1fr 1fr;gap:24px;margin-top:32px}.sign div{border-top:1.5px solid var(--ink);padding-top:4px;font-size:.875rem;color:var(--soft)}
.tables{display:grid;gap:16px 40px}
@media (max-width:479px){table.stack thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}table.stack tr{display:grid;grid-template-columns:1fr auto;gap:0 12px;border-bottom:1px solid var(--line);padding:8px 0}table.stack th,table.stack td{border:0;padding:0}table.stack th[scope=row]{font-weight:600}table.stack td.full,table.stack th.full{grid-column:1/-1}table.stack .check-f,table.stack tr.check-f{box-shadow:inset 3px 0 0 var(--caution);padding-left:10px}table.stack .check-f th:first-child{box-shadow:none;padding:0}td[data-h]::before{content:attr(data-h) ' ';color:var(--soft);font-size:.875rem}table.stack td[data-h]{text-align:left;grid-column:1/-1}}
@media print,(min-width:760px){
main{max-width:736px}.narrow{display:none!important}.wide{display:block}
.pair{display:grid;grid-template-columns:1fr 1fr;gap:0 32px}
.cards{grid-template-columns:repeat(auto-fit,minmax(210px,1fr))}
.scores{grid-template-columns:1fr 1fr}
h1{font-size:1.875rem}
dl.ev{grid-template-columns:auto minmax(min-content,auto);justify-content:start;gap:4px 18px}dl.ev dt{margin:0}.two dl.ev{font-size:.9375rem}
}
@media screen and (min-width:1220px){
main{max-width:1216px;padding:32px 32px 56px}
.two{display:grid;grid-template-columns:704px minmax(0,1fr);gap:0 40px;align-items:start}
.two>section{min-width:0}
.scores{grid-template-columns:repeat(3,1fr)}.tables{grid-template-columns:1fr 1fr}
.safe p{max-width:none}
.cert main{max-width:980px}
}
@page{margin:10mm 11mm}
@media print{
html{font-size:10.5pt}body{background:#fff}main{max-width:none;padding:0}

figure,.card,.safe,tr,blockquote,.key,.scores>div,.held,.complaint,.whole,.evs,li,.tables>div{break-inside:avoid}
h2+p,.cap,thead{break-after:avoid}
h1,h2,h3,caption,figcaption,.cap{break-after:avoid}
.fig text{font-size:14px}
section{margin-bottom:20px}.tables{grid-template-columns:1fr 1fr;gap:8px 28px}table{font-size:.875rem}th,td{padding:4px 8px 4px 0}
.card{padding:8px 12px;font-size:.875rem}.held,.ok{font-size:.8125rem}.card dl{font-size:.8125rem;grid-template-columns:4.9rem minmax(0,1fr);gap:2px 8px}.cards{grid-template-columns:repeat(auto-fit,minmax(200px,1fr))}
.scores figure{max-width:none}
.lad-fig{max-width:416px}
.plot-fig{max-width:416px}
}
.lad-fig{max-width:26rem}.plot-fig{max-width:26rem}.lim-fig{max-width:26rem}
.cert .prep{margin:0;padding:0;list-style:none}.cert .prep li{break-inside:avoid;padding-left:10px;text-indent:-10px}.cert .prep li::before{content:'\\b7 ';display:inline-block;width:10px;text-indent:0;font-weight:700}@media print,(min-width:760px){.cert .prep{columns:2;column-gap:24px}}.letter{border-bottom:1.5px solid var(--ink);margin:0 0 12px;padding-bottom:6px}.letter b{font-size:1.1875rem;line-height:1.3}.letter p{margin:0;max-width:none;font-size:.875rem;color:var(--soft)}.letter span{margin-right:14px}.letter img{float:right;max-height:48px;max-width:40%;margin-left:14px}@media print{.owner .letter img,.cert .letter img{max-height:30px;order:9;margin-left:auto}}.cert .head{display:flex;align-items:center;gap:4px 20px;flex-wrap:wrap}.cert .head p{margin:0 0 4px}@media screen{.cert section{margin-bottom:24px}.cert dl.ev{font-size:.9375rem}}
.trio,.tops{display:grid;gap:8px 24px}.tops section{margin:0 0 12px;min-width:0}.trio dl{grid-template-columns:auto minmax(min-content,1fr);gap:2px 10px}.trio .long{grid-column:1/-1;margin:0}@media print,(min-width:760px){.tops{grid-template-columns:1fr 1fr}.tops.several>:first-child{grid-column:1/-1}.trio{grid-template-columns:1.25fr 1fr 1.1fr}}@media screen and (min-width:1220px){.tops.several{grid-template-columns:1.1fr 1fr 1fr}.tops.several>:first-child{grid-column:auto}}.sources span{margin-right:10px}
@media print{
.cert{font-size:8.5pt;line-height:1.3}.cert .mk,.cert .soft,.cert figcaption,.cert td.num .r{font-size:7.5pt;line-height:1.25}.cert .mk svg{width:10px;height:10px}.cert .hash{font-size:7pt}.cert>main>.soft,.cert .sources{font-size:7pt;line-height:1.2}.cert p{max-width:none;margin-bottom:2px}.cert dl.prov{display:flex;flex-wrap:wrap;gap:0 5px}.cert .prov dd{margin-right:14px}.cert h1{font-size:13pt;margin:0;display:inline}.cert h2{font-size:9.5pt;margin:0 0 1px}.cert section{margin-bottom:4px}.cert table,.cert dl,.cert ul.prep{font-size:7.5pt;line-height:1.2}.cert th,.cert td{padding:.5px 6px .5px 0}.cert dl{gap:1px 10px;margin-bottom:3px}.cert .big{font-size:20pt}.cert .lim-fig{max-width:270px}.cert .lead{display:inline;margin-left:10px}.cert .sign{margin-top:20px}.cert .sign div{font-size:7.5pt;padding-top:2px}.cert .verdict{padding:1px 9px;margin-bottom:3px;font-size:10pt}.cert .stale{margin-bottom:8px;padding:4px 10px}.cert figure{margin-bottom:4px}
.cert .letter{display:flex;flex-wrap:wrap;align-items:baseline;gap:0 16px;margin-bottom:5px;padding-bottom:2px}.cert .letter b{font-size:11pt}.cert .letter p{font-size:7.5pt;margin:0}
.cert .head{margin-bottom:3px}.cert .tops{gap:0 20px;margin-top:4px}.cert .tops section{margin:0 0 4px}.cert .plot-fig{max-width:none}.cert .plot-fig svg{width:232px}.cert .tops.several{grid-template-columns:1.5fr 1fr 1fr;gap:0 14px}.cert .several figcaption,.cert .several .evs p{display:none}.cert .several figure+.evs .nr{white-space:normal}.cert .tops.several>:first-child{grid-column:auto}.cert .several .plot-fig svg{width:100%}.cert .several dl.ev{grid-template-columns:minmax(0,1fr) auto;gap:1px 8px}.cert .several .lim-fig{max-width:230px}.cert .trio{gap:1px 20px}.cert .trio .long{font-size:7.5pt}.dense main{zoom:.91}.dense .sign{margin-top:14px}
.cert ul.prep{columns:2;column-gap:20px}.cert .checks table{line-height:1.15}.cert .checks th,.cert .checks td{padding:.5px 6px .5px 0}
}
.owner .o2,.owner .o3{display:grid;gap:12px 24px;margin:0 0 20px}.owner .pic{margin:0 0 8px;max-width:26rem}.owner .td,.owner .low section{margin:0;min-width:0}.owner .low section+section{margin-top:8px}.owner .td{border-top:5px solid var(--ink);position:relative;padding-top:8px}.owner .td h3{padding-right:52px;min-height:34px}.owner .td dl{font-size:.9375rem;margin:4px 0 0}.owner .low{border-top:1px solid var(--line);padding-top:12px}.owner .low p,.owner .low ul{margin:0 0 4px}.owner .low ul{padding-left:18px}.owner .low section figure{margin:0 0 8px;max-width:22rem}.owner blockquote{margin-bottom:6px}.owner .complaint p{margin:0 0 6px}.owner .complaint{margin-bottom:10px;min-width:0}.owner footer{border-top:1px solid var(--line);padding-top:8px}.owner footer p{margin:0 0 4px;max-width:none}.owner .held{margin-bottom:12px;max-width:none}.owner .states{margin:8px 0;flex-direction:column}.by span{margin-right:6px}
.photos{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(15rem,100%),1fr));gap:16px;margin:4px 0 16px}.photo{margin:0;min-width:0}.photo img{display:block;width:100%;max-height:20rem;object-fit:contain;background:var(--paper);border:1px solid var(--line)}.photo figcaption{margin:4px 0 0}@media print{.photos{grid-template-columns:1fr 1fr;gap:8px 20px}.photo img{max-height:70mm}}
.sheet .held{margin-bottom:8px}@media print,(min-width:760px){.sheet td.num .nr{white-space:normal}.sheet td.num .r{display:block}}.step{margin:0 0 16px}.step .soft{margin:0 0 4px}.step table{margin-bottom:6px}
@media print,(min-width:760px){.owner .o2{grid-template-columns:repeat(2,minmax(0,1fr))}.owner .o3{grid-template-columns:repeat(3,minmax(0,1fr))}.owner .todo-row{grid-template-columns:minmax(0,1fr) minmax(0,1.5fr) minmax(0,.9fr)}.owner .todo-row>:only-child{grid-column:1/-1}}
@media screen and (min-width:760px){.owner main{max-width:960px}}
@media print{
.owner{font-size:8.5pt;line-height:1.24}.owner p{max-width:none}.owner h1{display:inline;font-size:14pt}.owner .lead{display:inline;margin-left:10px}.owner .lead+.safe,.owner .lead+.stale{margin-top:4px}.owner h2{font-size:10.5pt;margin:0 0 2px}.owner h3{font-size:9pt;line-height:1.22}.owner .soft,.owner figcaption,.owner .mk,.owner footer,.owner .states,.owner .lead{font-size:8.5pt;line-height:1.22}.owner .mk svg{width:10px;height:10px;transform:translateY(1px)}.owner .safe{padding:5px 10px;margin:0 0 6px}.owner .safe p{max-width:none}.owner .safe svg{width:20px;height:20px}.owner .safe>div+div{margin-top:4px}.owner .safe .never{margin-top:2px;font-size:8.5pt}.owner blockquote{font-size:9.5pt;line-height:1.2;border-left-width:4px;padding-left:8px;margin-bottom:2px}.owner .o2{gap:4px 16px;margin:0 0 4px}.owner .o3{gap:4px 16px;margin:0 0 4px}.owner .td{border-top-width:3px;padding-top:3px}.owner .td h3{min-height:0}.owner .by{margin-top:4px}.owner .td dt{white-space:nowrap}.owner .td dl{font-size:8.5pt;line-height:1.2;grid-template-columns:max-content minmax(0,1fr);gap:1px 6px;margin:1px 0 0}.owner .num-tag{width:22px;height:22px;right:2px;top:4px}.owner .low{padding-top:4px;grid-template-columns:268px minmax(0,1fr) minmax(0,1fr)}.owner .pic{margin:0;max-width:268px}.owner .low p,.owner .low ul{margin:0 0 1px}.owner .low section+section{margin-top:3px}.owner .low section figure{margin:0 0 2px;max-width:200px}.owner .held{font-size:8.5pt;padding:2px 8px;margin:0 0 5px}.owner .complaint{margin-bottom:2px}.owner .complaint p{margin:0 0 2px}.owner footer{padding-top:3px}.owner footer p{margin:0 0 1px}.owner .states{margin:3px 0 0;gap:1px}.owner .letter{display:flex;flex-wrap:wrap;align-items:baseline;gap:0 14px;margin-bottom:3px;padding-bottom:1px}.owner .letter b{font-size:10.5pt}.owner .letter p{font-size:8.5pt}.owner .letter span{margin-right:10px}.owner.dense main{zoom:.93}.owner.denser main{zoom:.85}.owner.densest main{zoom:.76}
.sheet td.num .nr{white-space:normal}.sheet .step{break-inside:avoid}.sheet p{max-width:none}.sheet .sign{margin-bottom:24px}
}
";
